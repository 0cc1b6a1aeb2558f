import { leverRows } from "../lib/around";
import { fieldsOf, piecesOf } from "../lib/listed";
import { degrees, figure, length, type Maybe, plain } from "../lib/say";
import { go, listOf, type MeasuredRow, type PlanTube, replaceList, units, view } from "../lib/state";
import { text } from "../lib/text";
import { around } from "../lib/textaround";
import { Figures } from "./figures";
import { numberOf, ownerTitle, titleOf } from "./known";
import { Mark } from "./mark";
import { offerUndo } from "./undo";

interface TubeFitProps {
	job: string;
	id: string;
}

// <TubeFit job={…} id="t1"> is what the plan says of how a tube fits: how it meets its socket, what its mock-up
// says, what it was adjusted to, and what a wrong clock mark does at each joint. Nothing where nothing is known.
// Props: job, id.  Calls: go (to the point of a mock-up that stands out).
export function TubeFit({ job, id }: TubeFitProps) {
	const plan = view.value?.plan.tubes?.find((t) => t.id === id);
	if (!plan) return null;
	return (
		<>
			<Socket job={job} plan={plan} />
			<Survey job={job} plan={plan} />
			<Closing job={job} plan={plan} />
			<Levers job={job} plan={plan} />
		</>
	);
}

function Socket({ job, plan }: { job: string; plan: PlanTube }) {
	const u = units.value;
	const s = plan.socket;
	if (!s) return null;
	const c = around.collector;
	return (
		<section class="card" data-test="socket">
			<Figures
				title={around.socket.title}
				head={["", `${c.offset}, ${u}`, `${c.aim}, °`, `${c.insert}, ${u}`]}
				foot={c.hint}
			>
				<tr>
					<th scope="row">{c.at(titleOf(job, "collector", s.collector), s.n)}</th>
					<td class="num">{figure(s.offset, u)}</td>
					<td class="num">{bare(s.aim_off)}</td>
					<td class="num">{figure(s.insert, u)}</td>
				</tr>
			</Figures>
		</section>
	);
}

// <Survey job plan> is what the mock-up of a tube says, first of all which point stands out.
// Props: job, plan.  Calls: go.
export function Survey({ job, plan }: { job: string; plan: PlanTube | undefined }) {
	const u = units.value;
	const s = plan?.survey;
	const t = around.survey;
	if (!s) return null;
	const suspect = s.suspect;
	const why = s.why ?? "";
	return (
		<section class="card stack" data-test="survey">
			<h2>{t.title}</h2>
			{suspect ? (
				<div class="row" role="status" data-test="suspect">
					<Mark kind="warn" />
					<p class="grow">
						<strong>{t.suspect(suspect.point, suspect.straight, length(suspect.off, u))}</strong>{" "}
						{t.tests((suspect.tests ?? []).join(", "))}
						{(suspect.also ?? []).length > 0 &&
							` ${t.also((suspect.also ?? []).map((m) => ownerTitle(job, `mark/${m.mark}`)).join(", "))}`}
					</p>
					<button
						type="button"
						data-test="suspect-go"
						onClick={() => go({ screen: "measure", job, slot: `mark/${suspect.mark}/x` })}
					>
						{t.go}
					</button>
				</div>
			) : (
				!why && (
					<p class="row">
						<Mark kind="agreed" />
						{t.clean}
					</p>
				)
			)}
			{why !== "" && <Why why={why} />}
			{typeof s.chi2 === "number" && (
				<p data-test="chi2">
					{t.chi(tenth(s.chi2), plain(s.dof))}
					<span class="soft small">
						{" "}
						{typeof s.chi_limit === "number" ? t.chiLimit(tenth(s.chi_limit)) : t.chiHint}
					</span>
				</p>
			)}
			{typeof s.length === "number" && (
				<p class="row" data-test="sigma-length">
					<span class="grow">{t.length}</span>
					<strong>{`${length(s.length, u)} ${around.closing.sigma(length(s.sigma_length, u))}`}</strong>
				</p>
			)}
			{(s.misses ?? []).length > 0 && (
				<Figures
					title={t.misses}
					head={[t.missHead.between, `${t.missHead.miss}, ${u}`, `${t.missHead.sigma}, ${u}`, t.missHead.is]}
					test="misses"
				>
					{s.misses?.map((m) => (
						<tr key={m.after}>
							<th scope="row">{t.between(m.after)}</th>
							<td class="num">{figure(m.miss, u)}</td>
							<td class="num">{figure(m.sigma, u)}</td>
							<td class="num">
								<Says is={m.too_much === true ? "warn" : "agreed"} words={m.too_much ? t.tooMuch : t.fine} />
							</td>
						</tr>
					))}
				</Figures>
			)}
			<Rows rows={s.lra ?? []} last={s.last} sigmaLast={s.sigma_last} title={t.rows} />
			{plan && !suspect && <TakePath job={job} tube={plan.id} rows={s.lra ?? []} last={s.last} />}
			{(s.crowns ?? []).length > 0 && (
				<Figures
					title={t.crowns}
					head={[t.crownHead.bend, `${t.crownHead.clr}, ${u}`, `${t.crownHead.sigma}, ${u}`]}
				>
					{s.crowns?.map((c) => (
						<tr key={c.after}>
							<th scope="row">
								{t.straight(c.after)}
								{typeof c.given === "number" && ` · ${t.given(length(c.given, u))}`}
								{c.why && <span class="named-more">{c.why}</span>}
							</th>
							<td class="num">{figure(c.clr, u)}</td>
							<td class="num">{figure(c.sigma, u)}</td>
						</tr>
					))}
				</Figures>
			)}
		</section>
	);
}

function Closing({ job, plan }: { job: string; plan: PlanTube }) {
	const u = units.value;
	const c = plan.closing;
	const t = around.closing;
	if (!c) return null;
	const why = c.why ?? "";
	return (
		<section class="card stack" data-test="closing">
			<h2>{t.title}</h2>
			{typeof c.miss === "number" && (
				<p data-test="closing-miss">{t.before(length(c.miss, u), degrees(c.aim))}</p>
			)}
			{why !== "" ? (
				<Why why={why} />
			) : (
				<p class="row">
					<Mark kind={c.too_far ? "warn" : "agreed"} />
					<span>
						{c.too_far ? t.tooFar : t.hint}
						{typeof c.chi2 === "number" && (
							<span class="soft small"> {around.survey.chi(tenth(c.chi2), plain(c.dof))}</span>
						)}
					</span>
				</p>
			)}
			<Rows rows={c.lra ?? []} last={c.last} sigmaLast={c.sigma_last} was={plan} title={t.row} />
			{typeof c.length === "number" && (
				<p class="row">
					<span class="grow">{around.survey.length}</span>
					<strong>{`${length(c.length, u)} ${t.sigma(length(c.sigma_length, u))}`}</strong>
				</p>
			)}
			{!c.too_far && <TakePath job={job} tube={plan.id} rows={c.lra ?? []} last={c.last} />}
		</section>
	);
}

const Why = ({ why }: { why: string }) => (
	<p class="row" data-test="why-not">
		<Mark kind="missing" />
		<span>{around.why(why)}</span>
	</p>
);

interface RowsProps {
	rows: MeasuredRow[];
	last: Maybe;
	sigmaLast: Maybe;
	title: string;
	was?: PlanTube;
}

// Bender data with one standard deviation of each figure, below what was entered where that was another.
function Rows({ rows, last, sigmaLast, title, was }: RowsProps) {
	const u = units.value;
	const t = around.closing.head;
	if (rows.length === 0) return null;
	const before = was?.lra ?? [];
	return (
		<Figures title={title} head={[t.bend, `${t.length}, ${u}`, `${t.rotation}, °`, `${t.angle}, °`]}>
			{rows.map((r, i) => (
				<tr key={i} data-test="measured-row">
					<th scope="row">{i + 1}</th>
					<Moved was={figure(before[i]?.length, u)} is={figure(r.length, u)} by={figure(r.sigma_length, u)} />
					<Moved was={bare(before[i]?.rotation)} is={bare(r.rotation)} by={bare(r.sigma_rotation)} />
					<Moved was={bare(before[i]?.angle)} is={bare(r.angle)} by={bare(r.sigma_angle)} />
				</tr>
			))}
			{typeof last === "number" && (
				<tr>
					<th scope="row">{around.closing.last}</th>
					<Moved was={figure(was?.last, u)} is={figure(last, u)} by={figure(sigmaLast, u)} />
					<td />
					<td />
				</tr>
			)}
		</Figures>
	);
}

function Moved({ was, is, by }: { was: string; is: string; by: string }) {
	return (
		<td class="num">
			{was !== text.none && <span class="named-more soft small">{was}</span>}
			{is}
			{by !== text.none && <span class="soft small"> {around.closing.sigma(by)}</span>}
		</td>
	);
}

// What was measured, or adjusted, becomes the path that is cut, once a person says so; one tap brings back what was.
function TakePath({
	job,
	tube,
	rows,
	last,
}: {
	job: string;
	tube: string;
	rows: MeasuredRow[];
	last: Maybe;
}) {
	if (rows.length === 0) return null;
	const pieces = piecesOf(rows, last ?? 0);
	const there = listOf(job, "element", tube).length;
	const take = async () => {
		const undo = await replaceList(job, "element", tube, pieces.map(fieldsOf));
		offerUndo(around.bender.kept(pieces.length), undo);
	};
	return (
		<div class="stack">
			<button type="button" data-test="take-path" onClick={() => take().catch(() => {})}>
				{around.bender.keep(pieces.length)}
			</button>
			{there > 0 && <p class="soft small">{around.bender.replace(there)}</p>}
		</div>
	);
}

// <Levers job plan> lists the joints of a tube by what a wrong clock mark does to its end, the worst first.
// Props: job, plan.  Calls: nothing.
export function Levers({ job, plan }: { job: string; plan: PlanTube }) {
	const u = units.value;
	const rows = leverRows(plan.levers ?? []);
	const t = around.levers;
	const first = rows[0];
	if (!first) return null;
	const tube = numberOf(job, "tube", plan.id);
	// the plan names pieces by tube and place: "t1-2" is written "1-2" on the metal
	const piece = (p: string | undefined) => {
		const place = /-(\d+)$/.exec(p ?? "")?.[1];
		return place ? `${tube}-${place}` : "";
	};
	return (
		<section class="card stack" data-test="levers">
			{typeof first.end_per_mm_of_mark === "number" && (
				<p data-test="lever-first">
					{t.mark(first.joint, length(first.end_per_mm_of_mark, u))}. <span class="soft">{t.first}</span>
				</p>
			)}
			<Figures
				title={t.title}
				head={[t.head.joint, `${t.head.mark}, ${u}`, `${t.head.degree}, ${u}`, `${t.head.bend}, ${u}`]}
			>
				{rows.map((l) => (
					<tr key={l.joint} data-test="lever-row">
						<th scope="row">{t.joint(l.joint, piece(l.piece))}</th>
						<td class="num">{figure(l.end_per_mm_of_mark, u)}</td>
						<td class="num">{figure(l.end_per_degree, u)}</td>
						<td class="num">{figure(l.end_per_degree_of_bend, u)}</td>
					</tr>
				))}
			</Figures>
		</section>
	);
}

function Says({ is, words }: { is: "agreed" | "warn"; words: string }) {
	return (
		<span class="says">
			<Mark kind={is} />
			{words}
		</span>
	);
}

const tenth = (v: number) => plain(Number(v.toFixed(1)));

const bare = (v: Maybe) => degrees(v).replace("°", "");

import { leverRows } from "../lib/around";
import { degrees, figure, length, type Maybe, plain } from "../lib/say";
import { go, type PlanTube, units, view } from "../lib/state";
import { around } from "../lib/textaround";
import { Figures } from "./figures";
import { numberOf, titleOf } from "./known";
import { Mark } from "./mark";

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
			<Closing plan={plan} />
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
	return (
		<section class="card stack" data-test="survey">
			<h2>{t.title}</h2>
			{suspect ? (
				<div class="row" role="status" data-test="suspect">
					<Mark kind="warn" />
					<p class="grow">
						<strong>{t.suspect(suspect.point, suspect.straight, length(suspect.off, u))}</strong>{" "}
						{t.tests((suspect.tests ?? []).join(", "))}
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
				<p class="row">
					<Mark kind="agreed" />
					{t.clean}
				</p>
			)}
			{typeof s.chi2 === "number" && (
				<p data-test="chi2">
					{t.chi(plain(Number(s.chi2.toFixed(1))), plain(s.dof))}
					<span class="soft small"> {t.chiHint}</span>
				</p>
			)}
			{typeof s.sigma_length === "number" && (
				<p class="row" data-test="sigma-length">
					<span class="grow">{t.length}</span>
					<strong>{length(s.sigma_length, u)}</strong>
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
			{(s.sigmas ?? []).length > 0 && (
				<Figures
					title={t.rows}
					head={[
						t.rowHead.bend,
						`${t.rowHead.length}, ${u}`,
						`${t.rowHead.rotation}, °`,
						`${t.rowHead.angle}, °`,
					]}
				>
					{s.sigmas?.map((r, i) => (
						<tr key={i}>
							<th scope="row">{typeof r.angle === "number" ? i + 1 : t.last}</th>
							<td class="num">{figure(r.length, u)}</td>
							<td class="num">{bare(r.rotation)}</td>
							<td class="num">{bare(r.angle)}</td>
						</tr>
					))}
				</Figures>
			)}
			{(s.crowns ?? []).length > 0 && (
				<Figures
					title={t.crowns}
					head={[t.crownHead.bend, `${t.crownHead.clr}, ${u}`, `${t.crownHead.sigma}, ${u}`]}
				>
					{s.crowns?.map((c) => (
						<tr key={c.after}>
							<th scope="row">
								{t.straight(c.after)}
								{c.why && <span class="soft small"> {c.why}</span>}
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

function Closing({ plan }: { plan: PlanTube }) {
	const u = units.value;
	const c = plan.closing;
	const t = around.closing;
	if (!c) return null;
	const was = plan.lra ?? [];
	return (
		<section class="card stack" data-test="closing">
			<h2>{t.title}</h2>
			<Figures title="" head={["", `${t.miss}, ${u}`, `${t.aim}, °`]} foot={t.hint}>
				<tr>
					<th scope="row">{t.before}</th>
					<td class="num">{figure(c.miss, u)}</td>
					<td class="num">{bare(c.aim)}</td>
				</tr>
				<tr>
					<th scope="row">{t.after}</th>
					<td class="num">{figure(0, u)}</td>
					<td class="num">{bare(0)}</td>
				</tr>
			</Figures>
			{(c.lra ?? []).length > 0 && (
				<Figures
					title={t.row}
					head={[t.head.bend, `${t.head.length}, ${u}`, `${t.head.rotation}, °`, `${t.head.angle}, °`]}
				>
					{c.lra?.map((r, i) => (
						<tr key={i}>
							<th scope="row">{i + 1}</th>
							<Moved
								was={figure(was[i]?.length, u)}
								is={figure(r.length, u)}
								by={figure(r.sigma?.length, u)}
							/>
							<Moved was={bare(was[i]?.rotation)} is={bare(r.rotation)} by={bare(r.sigma?.rotation)} />
							<Moved was={bare(was[i]?.angle)} is={bare(r.angle)} by={bare(r.sigma?.angle)} />
						</tr>
					))}
					{typeof c.last === "number" && (
						<tr>
							<th scope="row">{t.last}</th>
							<Moved was={figure(plan.last, u)} is={figure(c.last, u)} by="–" />
							<td />
							<td />
						</tr>
					)}
				</Figures>
			)}
			{typeof c.chi2 === "number" && (
				<p class="soft small">{`chi-square ${plain(Number(c.chi2.toFixed(1)))}`}</p>
			)}
		</section>
	);
}

// what was entered above what it became
function Moved({ was, is, by }: { was: string; is: string; by: string }) {
	return (
		<td class="num">
			<span class="soft small">{was}</span>
			<br />
			{is}
			{by !== "–" && <span class="soft small"> {around.closing.sigma(by)}</span>}
		</td>
	);
}

function Levers({ job, plan }: { job: string; plan: PlanTube }) {
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
			<Figures title={t.title} head={[t.head.joint, `${t.head.mark}, ${u}`, `${t.head.degree}, ${u}`]}>
				{rows.map((l) => (
					<tr key={l.joint} data-test="lever-row">
						<th scope="row">{t.joint(l.joint, piece(l.piece))}</th>
						<td class="num">{figure(l.end_per_mm_of_mark, u)}</td>
						<td class="num">{figure(l.end_per_degree, u)}</td>
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

const bare = (v: Maybe) => degrees(v).replace("°", "");

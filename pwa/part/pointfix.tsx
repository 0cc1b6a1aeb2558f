import { bar, type Ellipse, isPlace, shadow } from "../lib/around";
import { figure, length, offset } from "../lib/say";
import { type Entered, listOf, takeOut, units, view } from "../lib/state";
import { around } from "../lib/textaround";
import { bank } from "../lib/textbank";
import { Axes } from "./axes";
import { Figures } from "./figures";
import { nameOf, titleOf } from "./known";
import { Mark } from "./mark";
import { offerUndo } from "./undo";

// <PointFix job={…} id="point-k3f9q2"> says where a taped point is, how uncertain that is along its three
// directions, drawn to scale in two views, and what each tape says against it; the one that does not fit is named.
// Props: job, id.  Calls: takeOut (where it has coordinates and tapes).
export function PointFix({ job, id }: { job: string; id: string }) {
	const plan = view.value?.plan.points?.find((p) => p.id === id);
	const u = units.value;
	const suspect = plan?.suspect ?? "";
	if (!plan || !isPlace(plan.at)) {
		const why = plan?.why ?? "";
		return (
			<p class="card soft" data-test="point-why">
				{why === "" ? around.point.needs : around.why(why)}
			</p>
		);
	}
	const off = plan.off ?? 0;
	const by = length(Math.abs(off), u);
	const { entered } = plan;
	const name = titleOf(job, "point", id);
	const rows = entered
		? [
				...(entered.used ? [] : [{ name: `${around.point.by.tapes}, ${around.point.used}`, at: plan.at }]),
				{
					name: entered.used ? `${around.point.by.entered}, ${around.point.used}` : around.point.by.entered,
					at: entered.at,
				},
			]
		: [{ name, at: plan.at }];
	const wrong = off === 0 ? "" : off > 0 ? around.point.tooLong(by) : around.point.tooShort(by);
	return (
		<section class="card stack" data-test="point-fix">
			<h2>{around.point.title}</h2>
			{suspect !== "" && (
				<p class="row" role="status" data-test="tape-suspect">
					<Mark kind="warn" />
					<strong>{around.point.suspect(titleOf(job, "tape", suspect), wrong)}</strong>
				</p>
			)}
			<Figures
				title={around.point.at}
				head={["", `x, ${u}`, `y, ${u}`, `z, ${u}`]}
				foot={around.point.inFirst}
				test="point-at"
			>
				{rows.map((r) => (
					<tr key={r.name}>
						<th scope="row">{r.name}</th>
						{r.at.map((v, i) => (
							<td class="num" key={"xyz"[i]}>
								{figure(v, u)}
							</td>
						))}
					</tr>
				))}
			</Figures>
			{entered && <Twice job={job} id={id} entered={entered} />}
			{isPlace(plan.mirror) && (
				<p class="soft">{around.point.mirror(plan.mirror.map((v) => figure(v, u)).join(", "))}</p>
			)}
			{plan.sigma && (
				<p data-test="point-sigma">
					{`${around.point.sigmas}: ${plan.sigma.map((s) => length(s, u)).join(" · ")}`}
					<span class="soft small"> {around.point.sigmaHint}</span>
				</p>
			)}
			<figure class="drawing drawing-two" data-test="point-ellipse">
				<Shadow
					of={shadow(plan, 0, 1)}
					most={plan.sigma?.[0] ?? 0}
					across="x"
					upward="y"
					label={around.point.front}
				/>
				<Shadow
					of={shadow(plan, 0, 2)}
					most={plan.sigma?.[0] ?? 0}
					across="x"
					down="z" // towards who faces the port face
					label={around.point.above}
				/>
			</figure>
			{(plan.residuals ?? []).length > 0 && (
				<Figures
					title={around.point.residuals}
					head={[around.point.tape, `${around.point.off}, ${u}`]}
					test="point-residuals"
				>
					{(plan.residuals ?? []).map((r) => (
						<tr key={r.tape}>
							<th scope="row">
								{titleOf(job, "tape", r.tape) || nameOf(job, r.tape)}
								{r.tape === suspect && (
									<span class="row">
										<Mark kind="warn" />
										{around.point.suspectRow}
									</span>
								)}
							</th>
							<td class="num">{offset(r.off, u).replace(` ${u}`, "")}</td>
						</tr>
					))}
				</Figures>
			)}
		</section>
	);
}

// <Twice> says how far coordinates and tapes lie apart; one tap removes either, another brings it back.
function Twice({ job, id, entered }: { job: string; id: string; entered: Entered }) {
	const u = units.value;
	const t = around.point;
	const tapes = listOf(job, "tape", id);
	const isTooFar = (entered.off ?? 0) > (entered.most ?? Number.POSITIVE_INFINITY);
	const drop = async (what: string, slots: string[]) => {
		const undo = await takeOut(job, slots);
		offerUndo(bank.removed(what), undo);
	};
	return (
		<section class="stack" data-test="point-twice">
			<p class="row" role="status">
				<Mark kind={isTooFar ? "warn" : "note"} />
				<strong>
					{entered.used
						? t.noPlace(entered.why ?? "")
						: t.apart(length(entered.off, u), length(entered.sigma, u))}
				</strong>
			</p>
			<p class="soft">{t.one}</p>
			<div class="row wrap">
				<button
					type="button"
					class="grow"
					data-test="drop-entered"
					onClick={() =>
						drop(
							t.coordinates,
							["x", "y", "z"].map((axis) => `point/${id}/${axis}`),
						).catch(() => {})
					}
				>
					{t.dropEntered}
				</button>
				<button
					type="button"
					class="grow"
					data-test="drop-tapes"
					onClick={() =>
						drop(
							t.taped(tapes.length),
							tapes.map((e) => `tape/${e.id}/order`),
						).catch(() => {})
					}
				>
					{t.dropTapes(tapes.length)}
				</button>
			</div>
		</section>
	);
}

const WIDE = 370;
const HIGH = 300;

interface ShadowProps {
	of: Ellipse | null;
	most: number; // mm, the largest semi-axis of the ellipsoid: both views have one scale
	across: string;
	upward?: string; // or else
	down?: string;
	label: string;
}

function Shadow({ of, most, across, upward, down, label }: ShadowProps) {
	if (!of || !(most > 0)) return null;
	const scale = 100 / most; // px a mm
	const scaleBar = bar(most * 1.6);
	const u = units.value;
	const long = scaleBar * scale;
	return (
		<svg viewBox={`0 0 ${WIDE} ${HIGH}`} role="img" aria-label={`${label}, ${around.point.ellipse}`}>
			<Axes across={across} upward={upward} down={down} high={HIGH} />
			<path class="axis" d={`M${WIDE / 2 - 125} 140h250M${WIDE / 2} 34v226`} />
			<g class="scribe">
				{/* y of the screen counts down */}
				<ellipse
					cx={WIDE / 2}
					cy="140"
					rx={Math.max(1, of.long * scale)}
					ry={Math.max(1, of.short * scale)}
					transform={`rotate(${upward ? -of.angle : of.angle} ${WIDE / 2} 140)`}
				/>
			</g>
			<circle class="dot" cx={WIDE / 2} cy="140" r="4" />
			<path class="line" d={`M${WIDE - 14 - long} ${HIGH - 18}h${long}m0 -6v12m${-long} -12v12`} />
			<text x={WIDE - 14 - long / 2} y={HIGH - 28} text-anchor="middle">
				{length(scaleBar, u)}
			</text>
			<text x={WIDE - 10} y="20" text-anchor="end">
				{label}
			</text>
		</svg>
	);
}

import { boxOf, laidAt } from "../lib/face";
import { used } from "../lib/fields";
import { asRead } from "../lib/say";
import { listOf, units, view } from "../lib/state";
import { flange as t } from "../lib/textflange";
import type { Corner, OnFace, PlanFit, PlanPort } from "../lib/typesflange";
import { Dimension } from "./dimension";
import { known, titleOf } from "./known";
import { loopPath, outlinePath, turned } from "./outline";

/** What is typed of the next point, in mm. */
export interface RimTrial {
	axis: "x" | "y";
	mm: number | null;
	x: number | null; // of the same point, when y is asked
}

interface RimDrawingProps {
	job: string;
	kind: string;
	id: string;
	trial?: RimTrial | null;
	fit?: PlanFit | null;
}

const WIDE = 560;
const HIGH = 300;
const EDGE = 44;

// <RimDrawing job={…} kind="port" id="p3" trial={{ axis: "x", mm: 12.5, x: null }}> draws the measured points of
// an outline about its centre, in the axes of its bank or pattern: the outline that the plan lays through them, or
// straight lines until there is one; the point being typed scribed, a shape fitted to them dashed.
// Props: job, kind (port or opening), id, trial, fit.  Calls: nothing.
export function RimDrawing({ job, kind, id, trial = null, fit = null }: RimDrawingProps) {
	const turn = angle(job, `${kind}/${id}/turn`);
	const points = rimOf(job, kind, id);
	const spots = points.map((p) => turned(turn, p.at));
	const loop = outlineOf(job, kind, id, points.length);
	const typing: OnFace[] =
		trial && trial.mm !== null
			? [turned(turn, trial.axis === "x" ? [trial.mm, 0] : [trial.x ?? 0, trial.mm])]
			: [];
	const b = boxOf([loop], [...spots, ...typing, [18, 14], [-18, -14]]);
	const scale = Math.min((WIDE - 2 * EDGE) / (b.x1 - b.x0), (HIGH - 2 * EDGE) / (b.y1 - b.y0));
	const at = ([x, y]: OnFace): OnFace => [
		WIDE / 2 + (x - (b.x0 + b.x1) / 2) * scale,
		HIGH / 2 - (y - (b.y0 + b.y1) / 2) * scale,
	];
	const [ox, oy] = at([0, 0]);
	const size = fit && { ...NONE, ...fit, points: [] };
	const [fx, fy] = at(fit?.shift ?? [0, 0]);
	const isThin = scale * Math.hypot(b.x1 - b.x0, b.y1 - b.y0) < 12 * spots.length;
	return (
		<figure class="drawing face" data-test="rim-drawing" data-points={spots.length}>
			<svg viewBox={`0 0 ${WIDE} ${HIGH}`} role="img" aria-label={t.rim.drawing(titleOf(job, kind, id))}>
				<g class="axes">
					<path d={`M20 ${oy}H${WIDE - 16}m-9 -4l9 4l-9 4M${ox} ${HIGH - 14}V16m-4 9l4 -9l4 9`} />
					<text x={WIDE - 20} y={oy - 9} text-anchor="end">
						x
					</text>
					<text x={ox - 18} y="28">
						y
					</text>
				</g>
				{loop.length > 0 ? (
					<path class="line" data-test="rim-outline" d={loopPath(loop, at)} />
				) : (
					spots.length > 1 && (
						<g class="guess">
							<path
								class="thin"
								d={`M${spots.map((p) => at(p).join(" ")).join("L")}${spots.length > 2 ? "Z" : ""}`}
							/>
						</g>
					)
				)}
				{size && (
					<g class="face-over">
						<path d={outlinePath(size, fx, fy, scale)} />
					</g>
				)}
				<g class="face-names">
					{spots.map((p, i) => {
						const [x, y] = at(p);
						const far = Math.hypot(...p) || 1;
						const n = points[i]?.n ?? 0;
						const first = i === 0 || i === spots.length - 1 || n % 4 === 0;
						return (
							<g key={points[i]?.id}>
								<circle class="dot" cx={x} cy={y} r="5" />
								{(!isThin || first) && (
									<text x={x + (p[0] / far) * 20} y={y - (p[1] / far) * 18 + 6} text-anchor="middle">
										{n}
									</text>
								)}
							</g>
						);
					})}
				</g>
				{trial && <Asking trial={trial} turn={turn} at={at} />}
			</svg>
		</figure>
	);
}

const NONE = { width: 0, height: 0, corner: 0, diameter: 0, radius: 0, flat: 0 };

// The point being typed: how far it goes along x, then along y from there.
function Asking({ trial, turn, at }: { trial: RimTrial; turn: number; at: (p: OnFace) => OnFace }) {
	const say = (v: number | null) => (v === null ? "?" : asRead(v, units.value));
	const x = trial.axis === "x" ? (trial.mm ?? 0) : (trial.x ?? 0);
	const foot = at(turned(turn, [x, 0]));
	if (trial.axis === "x") return <Dimension from={at([0, 0])} to={foot} label={`x = ${say(trial.mm)}`} />;
	// on the outer side, clear of the points
	const isLeft = foot[0] < at([0, 0])[0];
	const to = at(turned(turn, [x, trial.mm ?? 0]));
	return <Dimension from={foot} to={to} left={isLeft} label={`y = ${say(trial.mm)}`} />;
}

/** A point of a measured outline, with its place in the list. */
export interface RimPoint {
	id: string;
	n: number;
	at: OnFace;
}

/** pointKind is the kind of the points of an outline. */
export const pointKind = (kind: string) => (kind === "opening" ? "spot" : "rim");

/** rimOf are the points of an outline of which both figures are known, before the outline is turned. */
export function rimOf(job: string, kind: string, id: string): RimPoint[] {
	const of = pointKind(kind);
	return listOf(job, of, id).flatMap((e, i): RimPoint[] => {
		const [x, y] = [length(job, `${of}/${e.id}/x`), length(job, `${of}/${e.id}/y`)];
		return x === null || y === null ? [] : [{ id: e.id, n: i + 1, at: [x, y] }];
	});
}

/** length is the value in use of a slot, in mm. */
export function length(job: string, slot: string): number | null {
	const nm = used(known(job, slot))?.nm;
	return nm === undefined ? null : nm / 1e6;
}

const angle = (job: string, slot: string) => (used(known(job, slot))?.udeg ?? 0) / 1e6;

/** planOf is what the plan says of a port, as far as it is up to date. */
export function planOf(job: string, port: string): PlanPort | undefined {
	if (view.value?.job !== job || view.value.stale) return undefined;
	return view.value.plan.flanges?.flatMap((f) => f.ports).find((p) => p.id === port);
}

// Half a point ends the outline of the plan until its y is there: meanwhile that of the whole points is drawn.
let lately = { of: "", points: 0, loop: [] as Corner[] };

function outlineOf(job: string, kind: string, id: string, points: number): Corner[] {
	const loop = planned(job, kind, id);
	const of = `${job} ${kind}/${id}`;
	if (loop.length > 0) lately = { of, points, loop };
	return loop.length === 0 && lately.of === of && lately.points === points ? lately.loop : loop;
}

// The outline as the plan has it, about its own centre. Openings of a pattern lie as they were laid on the head, so
// they are taken back to where they were measured.
function planned(job: string, kind: string, id: string): Corner[] {
	if (view.value?.job !== job || view.value.stale) return [];
	if (kind === "port") {
		const { loop = [], at } = planOf(job, id) ?? {};
		if (!at) return [];
		return loop.map(([x, y, bulge]) => [x - at[0], y - at[1], bulge]);
	}
	const patterns = view.value.plan.flanges?.flatMap((f) => f.patterns ?? []) ?? [];
	const of = patterns.find((p) => p.openings.some((o) => o.id === id));
	const opening = of?.openings.find((o) => o.id === id);
	if (!of?.move || !opening) return [];
	const [dx, dy] = of.move;
	const angle = of.angle ?? 0;
	const mirrored = of.mirrored === true;
	const [cx, cy] = [length(job, `opening/${id}/x`) ?? 0, length(job, `opening/${id}/y`) ?? 0];
	return opening.loop.map(([x, y, bulge]) => {
		const [ux, uy] = laidAt({ angle: -angle, mirrored: false, move: [0, 0] }, [x - dx, y - dy]);
		return [(mirrored ? -ux : ux) - cx, uy - cy, mirrored ? -bulge : bulge];
	});
}

import { useMemo } from "preact/hooks";
import { length, type Units } from "../../lib/say";
import type { Tag } from "../../lib/solid/fixture";
import { gapKey, spare, standOf, worstFirst } from "../../lib/solid/gaps";
import { around, type Label, placeLabels } from "../../lib/solid/labels";
import { type Beads, beadsOf, isHidden, namePlaces } from "../../lib/solid/model";
import { axesOf, type Sight, shownAt } from "../../lib/solid/sight";
import { add, dot, sub, times } from "../../lib/solid/vec";
import type { Point } from "../../lib/types";
import type { PlanGap, PlanShape } from "../../lib/typesaround";
import type { Plan } from "../../lib/typesplan";
import { Mark, type MarkKind } from "../mark";

/** What is seen: from where, and how large the picture is in px. */
export interface Shot {
	sight: Sight;
	wide: number;
	high: number;
}

interface OverlayProps {
	plan: Plan;
	shot: Shot;
	marked: string;
	units: Units;
	withTubes: boolean;
	withGaps: boolean;
	withAround: boolean;
	numberOf: (tube: string) => string;
	nameOf: (neighbour: string) => string;
	tags: Tag[];
}

const WORST = 3; // so many gaps have their figures on the picture, however wide they are
const BALLOON_PX = 30;
const LINE_PX = 30;
const NAME_PX = 220; // longer names end in dots

/** markOf is the sign of a gap: stop where surfaces meet, or where less is left than ever may be. */
export function markOf(g: PlanGap): MarkKind {
	const stand = standOf(g);
	if (g.gap <= 0 || (stand === "short" && g.gap < (g.least ?? 0))) return "stop";
	if (stand === "close" || (g.disputed ?? []).length > 0) return "disputed";
	return stand === "short" ? "warn" : "agreed";
}

// <Overlay plan={…} shot={…}> writes over the picture what must stay readable however it is turned: numbers
// of tubes, gaps as lines with their figures, names of what is around.
// Props: plan, shot, marked, units, withTubes, withGaps and withAround (layers shown), numberOf (a tube), nameOf (a neighbour),
// tags (names at places).  Calls: nothing.
export function Overlay(p: OverlayProps) {
	const { shot } = p;
	const beads = useMemo(() => beadsOf(p.plan), [p.plan]);
	const gaps = p.withGaps ? shownGaps(p.plan, p.marked) : [];
	const notes = notesOf(p, gaps, beads);
	const at = placeLabels(notes, shot.wide, shot.high);
	return (
		<div class="solid-over" aria-hidden="true">
			<svg width={shot.wide} height={shot.high} aria-hidden="true" focusable="false">
				{gaps.map((g) => {
					const ends = endsOf(g, shot);
					if (!ends) return null;
					const [a, b] = ends;
					const note = at.get(gapKey(g));
					const is = `solid-gap solid-gap-${markOf(g)} ${gapKey(g) === p.marked ? "solid-gap-marked" : ""}`;
					return (
						<g key={gapKey(g)} class={is} data-gap={gapKey(g)}>
							{note && (
								<path class="leader" d={`M${(a.x + b.x) / 2} ${(a.y + b.y) / 2}L${note.x} ${note.y}`} />
							)}
							<path class="under" d={`M${a.x} ${a.y}L${b.x} ${b.y}`} />
							<path d={`M${a.x} ${a.y}L${b.x} ${b.y}`} />
							<circle cx={a.x} cy={a.y} r="4" />
							<circle cx={b.x} cy={b.y} r="4" />
						</g>
					);
				})}
			</svg>
			{notes.map((n) => {
				const spot = at.get(n.key);
				return (
					spot && (
						<span
							key={n.key}
							class={`solid-label ${n.is}`}
							data-label={n.key}
							style={{
								left: `${spot.x - n.wide / 2}px`,
								top: `${spot.y - n.high / 2}px`,
								width: `${n.wide}px`,
								height: `${n.high}px`,
							}}
						>
							{n.mark && <Mark kind={n.mark} />}
							<span class="solid-words">{n.words}</span>
						</span>
					)
				);
			})}
		</div>
	);
}

interface Note extends Label {
	words: string;
	is: string;
	mark?: MarkKind;
}

/** shownGaps are those drawn: too small or near it, the worst of the rest, and what belongs to the thing marked. */
export function shownGaps(plan: Plan, marked: string): PlanGap[] {
	const [kind, id] = marked.split("/");
	return worstFirst(plan).filter(
		(g, i) =>
			i < WORST ||
			standOf(g) !== "enough" ||
			gapKey(g) === marked ||
			(kind !== "gap" && (g.a === id || g.b === id) && i < 4 * WORST),
	);
}

function endsOf(g: PlanGap, s: Shot) {
	if (!g.at_a || !g.at_b) return null;
	const px = (p: Point) => {
		const { x, y } = shownAt(s.sight, p, s.wide, s.high);
		return { x: Math.round(x * 10) / 10, y: Math.round(y * 10) / 10 };
	};
	return [px(g.at_a), px(g.at_b)] as const;
}

/** gapMiddle is where the gap is on the picture, null where the plan does not say. */
export function gapMiddle(g: PlanGap, s: Shot): { x: number; y: number } | null {
	const ends = endsOf(g, s);
	return ends && { x: (ends[0].x + ends[1].x) / 2, y: (ends[0].y + ends[1].y) / 2 };
}

// What is written, the most important first.
function notesOf(p: OverlayProps, gaps: PlanGap[], beads: Beads[]): Note[] {
	const { shot, plan } = p;
	const see = (at: Point) => shownAt(shot.sight, at, shot.wide, shot.high);
	const { out } = axesOf(shot.sight);
	const bead = beads.flatMap((b) => b.at);
	const about = times(
		bead.reduce((sum, p) => add(sum, p), [0, 0, 0] as Point),
		1 / Math.max(1, bead.length),
	);
	const first = (key: string) => (key === p.marked ? 0 : 1);
	const figures = gaps.flatMap((g): Note[] => {
		const mid = gapMiddle(g, shot);
		if (!mid) return [];
		const words = length(g.gap, p.units);
		const wide = widthOf(words) + 50; // with the sign
		const mark = markOf(g);
		const key = gapKey(g);
		const is = `solid-figure solid-figure-${mark} ${key === p.marked ? "solid-marked" : ""}`;
		return [{ key, words, is, mark, wide, high: LINE_PX, places: around(mid, wide, LINE_PX) }];
	});
	const numbers = (p.withTubes ? (plan.tubes ?? []) : []).flatMap((t): Note[] => {
		const words = p.numberOf(t.id);
		const key = `tube/${t.id}`;
		const doubt = t.disputed.length > 0 || (t.end?.disputed.length ?? 0) > 0;
		const is = `solid-number ${doubt ? "solid-doubt" : ""} ${key === p.marked ? "solid-marked" : ""}`;
		const wide = Math.max(BALLOON_PX, widthOf(words) + 16);
		const all = namePlaces(t.path ?? []);
		const hidden = all.filter((at) => isHidden(at, beads, out));
		const places = [...all.filter((at) => !hidden.includes(at)), ...hidden].map(see);
		return [{ key, words, is, wide, high: BALLOON_PX, places }];
	});
	const names = (p.withAround ? (plan.neighbours ?? []) : []).flatMap((n): Note[] => {
		const at = middleOfNeighbour(n.shapes?.[0], about);
		const words = p.nameOf(n.id);
		const key = `neighbour/${n.id}`;
		const is = `solid-name ${key === p.marked ? "solid-marked" : ""}`;
		const wide = Math.min(widthOf(words) + 12, NAME_PX);
		return at ? [{ key, words, is, wide, high: 24, places: [see(at), ...around(see(at), wide, 24)] }] : [];
	});
	const tags = p.tags.map((t): Note => {
		const wide = widthOf(t.words) + 16;
		const is = `solid-tag ${t.off ? "solid-tag-off" : ""} ${t.key === p.marked ? "solid-marked" : ""}`;
		return { key: t.key, words: t.words, is, wide, high: 26, places: around(see(t.at), wide, 26) };
	});
	return [...tags, ...numbers, ...figures, ...names].sort((a, b) => first(a.key) - first(b.key));
}

/** middleOfNeighbour is a place of a shape where its name may stand; of a plane the one below about. */
export function middleOfNeighbour(s: PlanShape | undefined, about: Point): Point | null {
	if (!s) return null;
	if (s.kind === "rod") return [0, 1, 2].map((k) => (s.from[k as 0] + s.to[k as 0]) / 2) as Point;
	if (s.kind === "sleeve") return s.points[Math.floor(s.points.length / 2)] ?? null;
	if (s.kind === "plane") return add(about, times(s.normal, -dot(sub(about, s.at), s.normal)));
	return s.at;
}

/** least is the gap of a thing that has the least to spare. */
export const leastGap = (plan: Plan, id: string): PlanGap | undefined =>
	(plan.gaps ?? []).filter((g) => g.a === id || g.b === id).sort((a, b) => spare(a) - spare(b))[0];

const widths = new Map<string, number>();
let measure: CanvasRenderingContext2D | null = null;

// widthOf is the width of words as labels are set, in px.
function widthOf(words: string): number {
	const had = widths.get(words);
	if (had !== undefined) return had;
	measure ??= document.createElement("canvas").getContext("2d");
	if (!measure) return 10 * words.length;
	const style = getComputedStyle(document.body);
	measure.font = `650 ${style.getPropertyValue("--type-small")} ${style.fontFamily}`;
	const wide = Math.ceil(measure.measureText(words).width);
	widths.set(words, wide);
	return wide;
}

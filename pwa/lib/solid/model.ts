// What is drawn of a plan in three dimensions, as a list of things with the layer they
// are switched with. Whatever the plan does not hold is left out. mm, in the frame of
// the first bank.

import type { Point } from "../types";
import type { Placed, PlanCollector, PlanShape } from "../typesaround";
import type { PathPiece, Plan, PlanTube } from "../typesplan";
import { circle, hull, type Spot } from "./hull";
import { lengthOf, type Station, stations } from "./mesh";
import { add, between, dot, norm, type Pose, placed, poseOf, square, sub, times, turned, unit } from "./vec";

export type Layer = "head" | "planned" | "measured" | "doubt" | "around" | "fixture";

export type Solid =
	| { shape: "pipe"; path: PathPiece[]; outside: number; inside: number }
	| { shape: "rings"; at: Station[]; radius: number; bead: number }
	| { shape: "plate"; pose: Pose; outline: Spot[]; holes: Spot[][]; thickness: number }
	| { shape: "ellipsoid"; at: Point; axes: [Point, Point, Point] }
	| { shape: "rod"; points: Point[]; radius: number }
	| { shape: "balls"; at: Point[]; radius: number }
	| { shape: "box"; at: Point; x: Point; y: Point; z: Point }
	| { shape: "grid"; pose: Pose }
	| { shape: "lines"; lines: Point[][] };

/** How it looks. Tubes come in tints, by their number. */
export type Coat =
	| { coat: "tube"; tint: number }
	| { coat: "base" | "post" | "off" | "way" } // of a fixture: its plate, what stays, what comes off, the way out
	| { coat: "plate" | "weld" | "socket" | "line" | "around" | "doubt" | "measured" | "suspect" | "point" };

export interface Item {
	of: string; // what a tap on it marks: "tube/t1", "neighbour/n1"; "" for nothing
	name: string; // for a file: "tube t1"
	layer: Layer;
	solid: Solid;
	coat: Coat;
}

/** A port face as it was measured, in its bank's own frame. */
export interface Face {
	bank: string;
	thickness: number | null;
	bolts: { x: number; y: number; hole: number }[];
	ports: Spot[][]; // outlines
}

const THIN_PLATE = 6; // thickness that is not known yet
const RIM = 8; // metal around bolts and ports where the plate's outline is guessed
const THIN = 3; // radius of a tube whose OD is not known: a line, no tube
const BEAD = 1.6;
const SIGMAS = 2; // how much of the uncertainty is shown
const SOCKET = 30; // depth of a socket that is not known yet
const SOCKET_WALL = 2;

/** itemsOf lists what is to be drawn. */
export const itemsOf = (plan: Plan, faces: Face[]): Item[] => [
	...faces.flatMap((f, i) => faceItems(f, poseOfBank(plan, f.bank, i))),
	...(plan.tubes ?? []).flatMap((t, n) => TUBE_LAYERS.flatMap((of) => of(t, n))),
	...(plan.collectors ?? []).flatMap(collectorItems),
	...(plan.neighbours ?? []).flatMap((n) =>
		(n.shapes ?? []).map(
			(s): Item => ({
				of: `neighbour/${n.id}`,
				name: `neighbour ${n.id}`,
				layer: "around",
				solid: aroundOf(s),
				coat: { coat: "around" },
			}),
		),
	),
	...(plan.points ?? []).flatMap(pointItems),
];

/** Each way in which a tube is known makes a layer of its own; all are drawn by the same code. */
const TUBE_LAYERS: ((t: PlanTube, n: number) => Item[])[] = [planned, doubtful, measured];

function planned(t: PlanTube, n: number): Item[] {
	const path = t.path ?? [];
	if (path.length === 0) return [];
	const outside = radiusOf(t);
	const inside = t.wall && t.od ? Math.max(0, outside - t.wall) : 0;
	const base = { of: `tube/${t.id}`, layer: "planned" as const };
	const at = joints(path);
	return [
		{
			...base,
			name: `tube ${t.id}`,
			solid: { shape: "pipe", path, outside, inside },
			coat: { coat: "tube", tint: n },
		},
		...(at.length > 0 && t.od
			? [
					{
						...base,
						name: `welds of tube ${t.id}`,
						solid: { shape: "rings" as const, at, radius: outside, bead: BEAD },
						coat: { coat: "weld" as const },
					},
				]
			: []),
	];
}

// Where pieces meet they are welded, and where the tube leaves the plate.
function joints(path: PathPiece[]): Station[] {
	return path.flatMap((p) => {
		const first = stations([p])[0]?.[0];
		return first ? [first] : [];
	});
}

// What is not known better than a few mm is drawn as a sleeve that much wider than the tube.
function doubtful(t: PlanTube): Item[] {
	const sigma = sigmaOf(t);
	if (sigma === null || !t.path || t.path.length === 0) return [];
	return [
		{
			of: `tube/${t.id}`,
			name: `uncertainty of tube ${t.id}`,
			layer: "doubt",
			solid: { shape: "pipe", path: t.path, outside: radiusOf(t) + SIGMAS * sigma, inside: 0 },
			coat: { coat: "doubt" },
		},
	];
}

/** sigmaOf is how far the tube may lie aside, one standard deviation in mm; null where the plan does not say. */
export function sigmaOf(t: PlanTube): number | null {
	const across = (t.survey?.misses ?? []).flatMap((m) => (typeof m.sigma === "number" ? [m.sigma] : []));
	const sigma = across.length > 0 ? Math.max(...across) : (t.sigma ?? null);
	return sigma !== null && sigma > 0 ? sigma : null;
}

// A mock-up is drawn as what was touched: its points, and a line through those of each straight.
function measured(t: PlanTube): Item[] {
	const base = { of: `tube/${t.id}`, layer: "measured" as const };
	const bad = t.survey?.suspect;
	return (t.survey?.straights ?? []).flatMap((s): Item[] => {
		const good = s.points.filter((_, i) => bad?.straight !== s.n || bad.point !== i + 1);
		const suspect = s.points.filter((p) => !good.includes(p));
		const name = `points of tube ${t.id}`;
		return [
			{ ...base, name, solid: { shape: "balls", at: good, radius: 3 }, coat: { coat: "measured" } },
			{ ...base, name, solid: { shape: "rod", points: good, radius: 1 }, coat: { coat: "measured" } },
			...(suspect.length > 0
				? [
						{
							...base,
							name,
							solid: { shape: "balls" as const, at: suspect, radius: 5 },
							coat: { coat: "suspect" as const },
						},
					]
				: []),
		];
	});
}

const radiusOf = (t: PlanTube) => (t.od ? t.od / 2 : THIN);

/** poseOfBank is where a bank's frame lies; the first one is where everything is counted from. */
function poseOfBank(plan: Plan, bank: string, n: number): Pose | null {
	const at = plan.flanges?.find((f) => f.bank === bank)?.placed;
	if (at) return posed(at);
	return n === 0 ? posed({ at: [0, 0, 0], dir: [0, 0, 1], ref: [1, 0, 0] }) : null;
}

const posed = (p: Placed) => poseOf(p.at, p.dir, p.ref);

function faceItems(f: Face, pose: Pose | null): Item[] {
	const around = [
		...f.bolts.flatMap((b) => circle(b.x, b.y, b.hole / 2 + RIM)),
		...f.ports.flatMap((ring) => ring.flatMap(([x, y]) => circle(x, y, RIM, 12))),
	];
	if (!pose || around.length === 0) return [];
	const base = { of: `bank/${f.bank}`, layer: "head" as const };
	const holes = [...f.ports, ...f.bolts.map((b) => circle(b.x, b.y, b.hole / 2))];
	const thickness = f.thickness ?? THIN_PLATE;
	const line = (z: number) => holes.map((h) => [...h, h[0] as Spot].map(([x, y]) => placed(pose, [x, y, z])));
	return [
		{
			...base,
			name: `flange ${f.bank}`,
			solid: { shape: "plate", pose, outline: hull(around), holes, thickness },
			coat: { coat: "plate" },
		},
		{
			...base,
			name: `ports and bolts ${f.bank}`,
			solid: { shape: "lines", lines: [...line(0), ...line(thickness)] },
			coat: { coat: "line" },
		},
	];
}

function collectorItems(c: PlanCollector): Item[] {
	const id = c.socket_id ?? 0;
	return (c.sockets ?? []).flatMap((s): Item[] => {
		if (!(id > 0)) return [];
		const path: PathPiece[] = [
			{ kind: "line", from: s.at, to: add(s.at, times(unit(s.dir), c.socket_depth ?? SOCKET)) },
		];
		return [
			{
				of: `collector/${c.id}`,
				name: `socket ${s.n} of collector ${c.id}`,
				layer: "head",
				solid: { shape: "pipe", path, outside: id / 2 + SOCKET_WALL, inside: id / 2 },
				coat: { coat: "socket" },
			},
		];
	});
}

function pointItems(p: {
	id: string;
	at: Point | null;
	sigma?: Point | null;
	axes?: Point[] | null;
}): Item[] {
	if (!p.at) return [];
	const base = { of: `point/${p.id}`, name: `point ${p.id}` };
	const dot: Item = {
		...base,
		layer: "measured",
		solid: { shape: "balls", at: [p.at], radius: 2 },
		coat: { coat: "point" },
	};
	const [a, b, c] = p.axes ?? [];
	if (!p.sigma || !a || !b || !c) return [dot];
	const axes = [a, b, c].map((dir, i) => times(dir, Math.max(SIGMAS * (p.sigma?.[i] ?? 0), 0.05)));
	return [
		dot,
		{
			...base,
			layer: "doubt",
			solid: { shape: "ellipsoid", at: p.at, axes: axes as [Point, Point, Point] },
			coat: { coat: "doubt" },
		},
	];
}

function aroundOf(s: PlanShape): Solid {
	switch (s.kind) {
		case "sphere":
			return {
				shape: "ellipsoid",
				at: s.at,
				axes: [
					[s.radius, 0, 0],
					[0, s.radius, 0],
					[0, 0, s.radius],
				],
			};
		case "rod":
			return { shape: "rod", points: [s.from, s.to], radius: s.radius };
		case "box":
			return {
				shape: "box",
				at: s.at,
				x: times(s.x, s.size[0] / 2),
				y: times(s.y, s.size[1] / 2),
				z: times(s.z, s.size[2] / 2),
			};
		case "plane":
			return { shape: "grid", pose: poseOf(s.at, s.normal, square(unit(s.normal))) };
		case "sleeve":
			return { shape: "rod", points: s.points, radius: s.radius };
	}
}

/** namePlaces are places along a tube where its name may stand: the middle of its longest piece first. */
export const namePlaces = (path: PathPiece[]): Point[] =>
	[...path].sort((a, b) => lengthOf(b) - lengthOf(a)).map((p) => along(p, lengthOf(p) / 2)[1] ?? p.from);

/** along are points of a piece of path, its ends among them, not farther apart than step. */
export function along(p: PathPiece, step: number): Point[] {
	const n = Math.max(1, Math.ceil(lengthOf(p) / step - 1e-9));
	return Array.from({ length: n + 1 }, (_, i) => {
		if (p.kind === "line") return between(p.from, p.to, i / n);
		return add(p.centre, turned(sub(p.from, p.centre), unit(p.normal), (p.angle * Math.PI * i) / (180 * n)));
	});
}

/** A tube as beads on its centreline: enough to tell what of another it hides. */
export interface Beads {
	tube: string;
	radius: number;
	at: Point[];
}

/** beadsOf are all tubes that have a place. */
export const beadsOf = (plan: Plan): Beads[] =>
	(plan.tubes ?? []).map((t) => {
		const radius = radiusOf(t);
		return { tube: t.id, radius, at: (t.path ?? []).flatMap((p) => along(p, radius / 2)) };
	});

/** isHidden tells whether a tube lies before a point of the centreline of one, seen from out. */
export function isHidden(at: Point, beads: Beads[], out: Point): boolean {
	return beads.some((b) =>
		b.at.some((p) => {
			const off = sub(p, at);
			const near = dot(off, out);
			return near > b.radius && norm(sub(off, times(out, near))) < b.radius;
		}),
	);
}

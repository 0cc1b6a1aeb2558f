import { gapKey, shortForm, standOf, stateOf, worstFirst } from "../solid/gaps";
import { circle, hull } from "../solid/hull";
import { around, placeLabels } from "../solid/labels";
import {
	ball,
	box,
	join,
	lengthOf,
	type Mesh,
	pipe,
	plate,
	rings,
	rod,
	SIDES,
	stations,
} from "../solid/mesh";
import { along, beadsOf, type Face, isHidden, itemsOf, namePlaces, sigmaOf } from "../solid/model";
import { axesOf, fitted, shownAt, slidBy, turnedBy, VIEWS, zoomed } from "../solid/sight";
import { add, cross, dot, norm, poseOf, square, sub, times, turned, unit } from "../solid/vec";
import type { Point } from "../types";
import type { PlanGap } from "../typesaround";
import type { PathPiece, Plan, PlanTube } from "../typesplan";
import { claim, holds, lengthyClaim, random, same } from "./claim";

const near = (got: number, want: number, off: number, what: string) =>
	holds(Math.abs(got - want) <= off, `${what}: got ${got}, want ${want} within ${off}`);

const corner = (m: Mesh, i: number): Point => [
	m.positions[3 * i] as number,
	m.positions[3 * i + 1] as number,
	m.positions[3 * i + 2] as number,
];

const triangles = (m: Mesh): [Point, Point, Point][] =>
	Array.from({ length: m.indices.length / 3 }, (_, t) => {
		const [a, b, c] = [0, 1, 2].map((k) => corner(m, m.indices[3 * t + k] as number));
		return [a, b, c] as [Point, Point, Point];
	});

// Volume by the divergence theorem: a third of what flows out of the surface. Positive only where all triangles face out.
const volume = (m: Mesh) => triangles(m).reduce((v, [a, b, c]) => v + dot(a, cross(b, c)) / 6, 0);

// What keeps the surface from being closed: edges that are not run along once each way. Corners count by their place.
function open(m: Mesh): number {
	const at = (p: Point) => p.map((v) => Math.round(v * 1e3)).join();
	const edges = new Map<string, number>();
	for (const t of triangles(m))
		for (const [a, b] of [
			[t[0], t[1]],
			[t[1], t[2]],
			[t[2], t[0]],
		] as [Point, Point][]) {
			if (at(a) === at(b)) continue;
			const [there, back] = [`${at(a)} ${at(b)}`, `${at(b)} ${at(a)}`];
			const n = edges.get(back) ?? 0;
			if (n === 1) edges.delete(back);
			else if (n > 1) edges.set(back, n - 1);
			else edges.set(there, (edges.get(there) ?? 0) + 1);
		}
	return edges.size;
}

const line = (from: Point, to: Point): PathPiece => ({ kind: "line", from, to });
function arc(from: Point, centre: Point, normal: Point, angle: number): PathPiece {
	const to = add(centre, turned(sub(from, centre), unit(normal), (angle * Math.PI) / 180));
	return { kind: "arc", from, to, centre, normal, angle };
}

// A path of n straights and bends that goes on smoothly, as a tube does.
function bent(rnd: () => number, n: number): PathPiece[] {
	let [at, dir] = [
		[rnd() * 100, rnd() * 100, rnd() * 100] as Point,
		unit([rnd() - 0.5, rnd() - 0.5, rnd() + 0.2]),
	];
	const path: PathPiece[] = [];
	for (let i = 0; i < n; i++) {
		const to = add(at, times(dir, 20 + 150 * rnd()));
		path.push(line(at, to));
		const normal = turned(square(dir), dir, 2 * Math.PI * rnd());
		const angle = 10 + 120 * rnd();
		const bend = arc(to, add(to, times(cross(normal, dir), 60 + 60 * rnd())), normal, angle);
		path.push(bend);
		at = bend.to;
		dir = turned(dir, normal, (angle * Math.PI) / 180);
	}
	return path;
}

// Area of the polygon that stands for a circle of radius 1 in the drawing (closed form).
const POLYGON = (SIDES / 2) * Math.sin((2 * Math.PI) / SIDES);

claim("a straight tube is a closed prism of its length, its corners on the circle", () => {
	const m = pipe([line([10, 20, 30], [10, 20, 430])], 25);
	same(open(m), 0);
	near(volume(m) / (POLYGON * 25 ** 2 * 400), 1, 1e-6, "volume over closed form");
	for (let i = 0; i < m.positions.length / 3; i++) {
		const [x, y] = corner(m, i);
		const r = Math.hypot(x - 10, y - 20);
		holds(r < 1e-3 || Math.abs(r - 25) < 1e-4, `a corner lies ${r} from the middle`);
	}
	near(volume(m) / (Math.PI * 25 ** 2 * 400), 1, 0.007, "volume over the round cylinder's");
});

claim("a bend is a sector of a torus: volume pi r² R θ, of second order in its steps", () => {
	const angle = (137 * Math.PI) / 180;
	const bend = [arc([100, 0, 0], [0, 0, 0], [0, 1, 0], 137)];
	same(open(pipe(bend, 20)), 0);
	for (const n of [7, 14, 28]) {
		// Between two cuts a point at radius r sweeps a triangle, r² sin(h)/2, in place of r² h/2 (Pappus, closed form).
		const want = POLYGON * 20 ** 2 * 100 * n * Math.sin(angle / n);
		near(volume(pipe(bend, 20, 0, SIDES, angle / n)) / want, 1, 1e-5, `${n} steps, over closed form`);
	}
	const off = (sides: number, step: number) =>
		1 - volume(pipe(bend, 20, 0, sides, step)) / (Math.PI * 20 ** 2 * 100 * angle);
	near(off(32, angle / 14) / off(64, angle / 28), 4, 0.05, "error over that of steps half as large");
	near(off(SIDES, (7.5 * Math.PI) / 180), 0, 0.01, "as it is drawn");
});

claim("a tube that is looked through holds the metal of its wall", () => {
	const m = pipe([line([0, 0, 0], [0, 0, 100]), arc([0, 0, 100], [75, 0, 100], [0, 1, 0], 90)], 20, 18.4);
	same(open(m), 0);
	const exact = POLYGON * (20 ** 2 - 18.4 ** 2) * (100 + 75 * (Math.PI / 2));
	near(volume(m) / exact, 1, 2e-3, "volume over closed form");
});

lengthyClaim("any smooth path makes one closed run whose normals point out", () => {
	const rnd = random(3);
	for (let i = 0; i < 200; i++) {
		const path = bent(rnd, 1 + Math.floor(rnd() * 4));
		same(stations(path).length, 1, `case ${i} of seed 3`);
		const m = pipe(path, 22, i % 2 === 0 ? 20 : 0, 12);
		same(open(m), 0, `case ${i} of seed 3`);
		const long = path.reduce((n, p) => n + lengthOf(p), 0);
		holds(volume(m) > 0, `case ${i} of seed 3: it is inside out`);
		const polygon = 6 * Math.sin(Math.PI / 6) * (22 ** 2 - (i % 2 === 0 ? 20 ** 2 : 0));
		near(volume(m) / (polygon * long), 1, 0.006, `case ${i} of seed 3: volume over section times length`);
		triangles(m).forEach(([a, b, c], t) => {
			const facing = cross(sub(b, a), sub(c, a));
			const k = m.indices[3 * t] as number;
			const n: Point = [m.normals[3 * k], m.normals[3 * k + 1], m.normals[3 * k + 2]] as Point;
			holds(norm(facing) < 1e-9 || dot(facing, n) > 0, `case ${i} of seed 3: triangle ${t} faces in`);
		});
	}
});

claim("where a path does not go on smoothly each part is closed by itself", () => {
	const kinked = [line([0, 0, 0], [0, 0, 50]), line([0, 0, 50], [40, 0, 80]), line([40, 0, 81], [90, 0, 81])];
	same(stations(kinked).length, 3);
	same(open(pipe(kinked, 5)), 0);
	same(pipe([line([1, 2, 3], [1, 2, 3])], 5).indices.length, 0, "a piece without a length");
});

claim("balls, boxes, rods and weld beads are closed and have their volume", () => {
	const m = ball([5, -7, 9], [30, 0, 0], [0, 0, 20], [0, 10, 0], 96);
	same(open(m), 0);
	near(volume(m) / ((4 / 3) * Math.PI * 30 * 20 * 10), 1, 0.002, "ellipsoid over closed form");
	const [x, y] = [times(unit([1, 2, 2]), 10), times(unit([2, 1, -2]), 20)];
	const b = box([1, 2, 3], x, y, times(unit(cross(x, y)), 30));
	same(open(b), 0);
	near(volume(b), 8 * 10 * 20 * 30, 1, "box");
	near(volume(box([1, 2, 3], y, x, times(unit(cross(x, y)), 30))), 8 * 10 * 20 * 30, 1, "left-handed box");
	same(
		open(
			rod(
				[
					[0, 0, 0],
					[100, 0, 0],
					[100, 50, 0],
				],
				8,
			),
		),
		0,
		"rod",
	);
	const bead = rings([{ at: [0, 0, 0], dir: [0, 0, 1], side: [1, 0, 0] }], 25, 1.5);
	same(open(bead), 0, "bead");
	// a hexagon of radius 1.5 about a circle in 18 steps
	const want = 25 * 18 * Math.sin(Math.PI / 9) * 3 * Math.sin(Math.PI / 3) * 1.5 ** 2;
	near(volume(bead) / want, 1, 1e-5, "bead over closed form");
	same(open(join([m, b])), 0);
});

claim("a plate with holes has the volume of what is left, whichever way round it is told", () => {
	const pose = poseOf([10, 20, 30], unit([1, 2, 3]), [1, 0, 0]);
	const outline = hull([...circle(0, 0, 20), ...circle(200, 10, 20)]);
	const holes = [circle(20, 0, 8), circle(100, 5, 10, 48).reverse(), circle(190, 8, 6, 12)];
	const flat = (r: [number, number][]) =>
		Math.abs(
			r.reduce((s, [x, y], i) => {
				const [u, v] = r[(i + 1) % r.length] as [number, number];
				return s + (x * v - u * y) / 2;
			}, 0),
		);
	const want = (flat(outline) - holes.reduce((s, h) => s + flat(h), 0)) * 9.5;
	for (const ring of [outline, [...outline].reverse()]) {
		const m = plate(pose, ring, holes, 9.5);
		same(open(m), 0);
		near(volume(m) / want, 1, 1e-5, "volume over area times thickness");
	}
});

claim("a hull is convex, runs to the left and holds every point", () => {
	const rnd = random(5);
	for (let i = 0; i < 200; i++) {
		const points = Array.from({ length: 3 + Math.floor(rnd() * 40) }, (): [number, number] => [
			Math.round(rnd() * 20),
			rnd() * 20,
		]);
		const h = hull(points);
		h.forEach((a, k) => {
			const b = h[(k + 1) % h.length] as [number, number];
			for (const p of points)
				holds(
					(b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) >= -1e-9,
					`case ${i} of seed 5: ${p} lies outside`,
				);
		});
	}
});

claim("each standard view has its axes where the words say", () => {
	const round = (v: { az: number; el: number }) => {
		const { right, up } = axesOf(v);
		return [right, up].map((d) => d.map((c) => Math.round(c * 1e9) / 1e9 + 0));
	};
	same(
		round(VIEWS.front),
		[
			[1, 0, 0],
			[0, 1, 0],
		],
		"front: x right, y up",
	);
	same(
		round(VIEWS.above),
		[
			[1, 0, 0],
			[0, 0, -1],
		],
		"above: x right, out of the head downwards",
	);
	same(
		round(VIEWS.below),
		[
			[1, 0, 0],
			[0, 0, 1],
		],
		"below: x right, out of the head upwards",
	);
	same(
		round(VIEWS.side),
		[
			[0, 0, 1],
			[0, 1, 0],
		],
		"side: out of the head to the right, y up",
	);
});

claim("the whole is in the picture, a finger takes along what is under it, zooming keeps its place", () => {
	const rnd = random(9);
	const [wide, high] = [700, 500];
	for (let i = 0; i < 200; i++) {
		const points = Array.from({ length: 8 }, (): Point => [rnd() * 500, rnd() * 300, rnd() * 400]);
		const s = fitted({ az: rnd() * 7 - 3, el: rnd() * 3 - 1.5 }, points, wide / high);
		for (const p of points) {
			const { x, y } = shownAt(s, p, wide, high);
			holds(x > 0 && x < wide && y > 0 && y < high, `case ${i} of seed 9: ${p} is shown at ${x}, ${y}`);
		}
		const p = points[0] as Point;
		const before = shownAt(s, p, wide, high);
		const slid = shownAt(slidBy(s, 31, -17, high), p, wide, high);
		near(slid.x - before.x, 31, 1e-6, "slid across");
		near(slid.y - before.y, -17, 1e-6, "slid up");
		const large = shownAt(zoomed(s, 1.7, p), p, wide, high);
		near(Math.hypot(large.x - before.x, large.y - before.y), 0, 1e-6, "zoomed about a point, which moved");
	}
	const s = fitted(VIEWS.front, [[0, 0, 0]], 1);
	const out: Point = [0, 0, 100];
	holds(shownAt(turnedBy(s, 20, 0), out, 100, 100).x > 50, "what is near goes with the finger to the right");
	holds(shownAt(turnedBy(s, 0, 20), out, 100, 100).y > 50, "and with the finger down");
	near(turnedBy(s, 0, 1e6).el, Math.PI / 2, 1e-12, "up stays up");
});

claim("labels are whole and never over one another; the most important one has its best place", () => {
	const rnd = random(11);
	for (let i = 0; i < 300; i++) {
		const labels = Array.from({ length: 30 }, (_, k) => {
			const [wide, high] = [30 + rnd() * 90, 24 + rnd() * 10];
			const at = { x: 70 + rnd() * 560, y: 40 + rnd() * 420 };
			return { key: `${k}`, wide, high, places: [at, ...around(at, wide, high)] };
		});
		const put = [...placeLabels(labels, 700, 500)].map(([key, p]) => ({ ...p, l: labels[Number(key)] }));
		same([put[0]?.x, put[0]?.y], [labels[0]?.places[0]?.x, labels[0]?.places[0]?.y], `case ${i} of seed 11`);
		put.forEach((a, k) => {
			const w = (a.l?.wide ?? 0) / 2;
			const h = (a.l?.high ?? 0) / 2;
			holds(a.x - w >= 0 && a.x + w <= 700 && a.y - h >= 0 && a.y + h <= 500, `case ${i}: outside`);
			for (const b of put.slice(0, k))
				holds(
					Math.abs(a.x - b.x) >= w + (b.l?.wide ?? 0) / 2 || Math.abs(a.y - b.y) >= h + (b.l?.high ?? 0) / 2,
					`case ${i} of seed 11: two overlap`,
				);
		});
	}
});

claim("a gap is named by what is worst about it", () => {
	const gap = (is: number, more: Partial<PlanGap> = {}): PlanGap => ({
		...{ a: "t1", b: "n1", gap: is, wanted: 12, least: 6 },
		...more,
	});
	same(stateOf(gap(-1)), "touch");
	same(stateOf(gap(0, { too_close_to_call: true })), "touch");
	same(stateOf(gap(5)), "least");
	same(stateOf(gap(6)), "short");
	same(stateOf(gap(11)), "short");
	same(stateOf(gap(11, { too_close_to_call: true })), "close");
	same(stateOf(gap(12)), "enough");
	same(stateOf(gap(3, { wanted: null, least: null })), "enough");
});

claim("the short form keeps every gap that asks, and the closest one of each tube and neighbour", () => {
	const rnd = random(7);
	const pick = <T>(of: T[]): T => of[Math.floor(rnd() * of.length)] as T;
	for (let n = 0; n < 300; n++) {
		const tubes = ["t1", "t2", "t3", "t4"];
		const things = ["n1", "n2", "n3", "n4", "n5", "n6"];
		const gaps: PlanGap[] = [];
		for (const [i, a] of tubes.entries())
			for (const b of [...tubes.slice(i), ...things])
				if (rnd() < 0.7)
					gaps.push({
						...{ a, b, gap: 60 * rnd() - 4, wanted: pick([6, 12, 19]), least: pick([0, 6]) },
						too_close_to_call: rnd() < 0.1,
					});
		const form = shortForm(gaps, (id) => tubes.includes(id));
		const all = [...form.asking, ...form.closest, ...form.rest];
		same(all.map(gapKey).sort(), gaps.map(gapKey).sort(), `case ${n}: each stands once`);
		holds(
			form.asking.every((g) => stateOf(g) !== "enough"),
			`case ${n}: what asks for nothing is among what does`,
		);
		holds(
			[...form.closest, ...form.rest].every((g) => stateOf(g) === "enough"),
			`case ${n}: what asks for something is folded`,
		);
		const left = (g: PlanGap) => g.gap - (g.wanted ?? 0);
		for (const id of [...tubes, ...things]) {
			const own = gaps.filter((g) => (tubes.includes(g.b) ? g.a === id || g.b === id : g.b === id));
			const least = Math.min(...own.map(left));
			holds(
				own.length === 0 ||
					[...form.asking, ...form.closest].some((g) => own.includes(g) && left(g) === least),
				`case ${n}: the closest of ${id} is folded`,
			);
		}
		holds(
			form.closest.length <= tubes.length + things.length,
			`case ${n}: ${form.closest.length} are closest`,
		);
		const ranks = form.asking.map((g) => ["touch", "least", "short", "close"].indexOf(stateOf(g)));
		same(ranks, [...ranks].sort(), `case ${n}: what is worst comes first`);
	}
});

claim("gaps that fall short come first, then those too close to call, each by what is left", () => {
	const gap = (b: string, is: number, wanted: number | null, close = false): PlanGap => ({
		...{ a: "t1", b, gap: is, wanted, too_close_to_call: close },
	});
	const gaps = [
		gap("n1", 30, 12),
		gap("n2", 12.5, 12.7, true),
		gap("n3", 8, 12.7),
		gap("n4", 9, 19),
		gap("n5", 3, null),
	];
	same(
		worstFirst({ gaps }).map((g) => g.b),
		["n4", "n3", "n2", "n5", "n1"],
	);
	same(gaps.map(standOf), ["enough", "close", "short", "short", "enough"]);
	same(standOf(gap("n6", -0.1, null)), "short", "surfaces that run into each other");
	same(gapKey(gap("n1", 0, 0)), "gap/t1/n1");
	same(worstFirst({}), []);
});

const tube = (id: string, more: Partial<PlanTube>): PlanTube => ({
	...{ id, disputed: [], last_disputed: [], length: 300, od: 40, wall: 1.6 },
	...more,
});

claim("what the plan does not hold is left out, and nothing stumbles over it", () => {
	same(itemsOf({}, []), []);
	same(itemsOf({ tubes: [tube("t1", {}), tube("t2", { path: null })] }, []), []);
	const odd: Plan = {
		tubes: [tube("t1", { path: [line([0, 0, 0], [0, 0, 90])], od: null, wall: null })],
		collectors: [{ id: "c1" }, { id: "c2", sockets: [{ n: 1, at: [0, 0, 0], dir: [0, 0, 1] }] }],
		points: [
			{ id: "q1", at: null },
			{ id: "q2", at: [1, 2, 3], sigma: null },
		],
		neighbours: [{ id: "n1" }],
		gaps: [{ a: "t1", b: "n1", gap: 3 }],
	};
	same(
		itemsOf(odd, []).map((i) => i.name),
		["tube t1", "point q2"],
	);
	const face: Face = { bank: "B", thickness: null, bolts: [{ x: 0, y: 0, hole: 8 }], ports: [] };
	same(
		itemsOf({}, [{ ...face, bank: "A" }, face]).map((i) => i.of),
		["bank/A", "bank/A"],
		"a bank without a place",
	);
});

claim("measured, planned and doubtful lie over one another as layers of one tube", () => {
	const path = [line([0, 0, 0], [0, 0, 90]), arc([0, 0, 90], [60, 0, 90], [0, 1, 0], 40)];
	const t = tube("t1", {
		path,
		survey: {
			straights: [
				{
					n: 1,
					points: [
						[0, 0, 0],
						[0, 1, 40],
						[0, 0, 90],
					],
				},
			],
			misses: [{ after: 1, miss: 1, sigma: 0.9 }],
			suspect: { straight: 1, point: 2, off: 6 },
		},
	});
	const items = itemsOf({ tubes: [t] }, []);
	same(
		items.map((i) => `${i.layer} ${i.coat.coat}`),
		[
			...["planned tube", "planned weld", "doubt doubt", "measured measured", "measured measured"],
			"measured suspect",
		],
	);
	same(sigmaOf(t), 0.9);
	const sleeve = items.find((i) => i.layer === "doubt")?.solid;
	same(sleeve?.shape === "pipe" && sleeve.outside, 20 + 2 * 0.9, "two standard deviations outside the tube");
	same(sigmaOf(tube("t1", { sigma: null })), null);
	holds(
		items.every((i) => i.of === "tube/t1"),
		"a tap on any of them marks the tube",
	);
	same(namePlaces(path)[0], [0, 0, 45]);
});

claim("a tube's number stands where no other tube lies before it", () => {
	const path = [line([0, 0, 0], [0, 0, 90]), arc([0, 0, 90], [60, 0, 90], [0, 1, 0], 90)];
	const before = [line([-30, 40, 45], [30, 40, 45])];
	const beads = beadsOf({ tubes: [tube("t1", { path }), tube("t2", { path: before }), tube("t3", {})] });
	same(
		namePlaces(path).map((p) => isHidden(p, beads, [0, 1, 0])),
		[false, true],
		"seen from above, the longer bend first",
	);
	same(
		namePlaces(path).map((p) => isHidden(p, beads, [0, -1, 0])),
		[false, false],
		"from below",
	);
	const bend = path[1] as PathPiece;
	for (const p of along(bend, 7)) near(norm(sub(p, [60, 0, 90])), 60, 1e-9, "a point of the bend");
	same(
		along(bend, 7)
			.at(-1)
			?.map((v) => Math.round(v)),
		[60, 0, 150],
	);
});

claim("eight tubes are few enough triangles to be turned on a tablet", () => {
	const rnd = random(21);
	const tubes = Array.from({ length: 8 }, (_, k) => tube(`t${k}`, { path: bent(rnd, 4) }));
	const of = (t: PlanTube) => pipe(t.path ?? [], 20, 18.4).indices.length / 3;
	const n = tubes.reduce((sum, t) => sum + of(t), 0);
	holds(n > 10_000 && n < 80_000, `eight tubes are ${n} triangles`); // what a tablet's graphics draw with ease
});

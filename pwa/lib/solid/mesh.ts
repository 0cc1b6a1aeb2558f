// Closed surfaces of triangles: tubes swept along lines and exact arcs, balls, boxes
// and plates with holes. Triangles are counted round counter-clockwise seen from outside. mm.

import earcut from "earcut";
import type { Point } from "../types";
import type { PathPiece } from "../typesplan";
import type { Spot } from "./hull";
import { add, cross, dot, norm, type Pose, placed, square, sub, times, turned, unit } from "./vec";

export interface Mesh {
	positions: Float32Array; // x, y, z of each corner
	normals: Float32Array; // unit, outward
	indices: Uint32Array; // three for each triangle
}

/** SIDES is how many flat sides a round tube is drawn with: at 25 mm radius a side lies at most 0.12 mm inside the circle. */
export const SIDES = 32;
const SMALL = 6; // radius of a rod or ball that needs fewer sides, mm
const STEP = (7.5 * Math.PI) / 180; // an arc is drawn in steps of at most this
const SAME_MM = 1e-3; // ends that are nearer than this meet
const SAME_DIR = 1e-4; // and go on in the same direction, rad

/** A cut square to the path: its centre, the direction of travel, and one direction in the cut that is carried along without twist. */
export interface Station {
	at: Point;
	dir: Point;
	side: Point;
}

/** directions are where a piece of path starts out to and where it arrives. */
export function directions(p: PathPiece): { start: Point; end: Point } {
	if (p.kind === "line") {
		const dir = unit(sub(p.to, p.from));
		return { start: dir, end: dir };
	}
	const along = (at: Point) => unit(cross(p.normal, sub(at, p.centre)));
	return { start: along(p.from), end: along(p.to) };
}

/** lengthOf is the centreline of a piece of path, mm. */
export const lengthOf = (p: PathPiece): number =>
	p.kind === "line" ? norm(sub(p.to, p.from)) : (norm(sub(p.from, p.centre)) * p.angle * Math.PI) / 180;

/**
 * stations cuts a path wherever its drawing needs a ring. The path comes back in
 * runs: where a piece does not go on smoothly from the one before, a new run begins.
 */
export function stations(path: PathPiece[], step = STEP): Station[][] {
	const runs: Station[][] = [];
	let run: Station[] = [];
	for (const p of path) {
		if (!(lengthOf(p) > SAME_MM)) continue;
		const { start } = directions(p);
		const last = run.at(-1);
		const meets =
			last && norm(sub(last.at, p.from)) < SAME_MM && norm(sub(last.dir, start)) < SAME_DIR ? last : null;
		if (!meets) {
			run = [{ at: p.from, dir: start, side: square(start) }];
			runs.push(run);
		}
		const first = run.at(-1) as Station;
		if (p.kind === "line") {
			run.push({ at: p.to, dir: first.dir, side: first.side });
			continue;
		}
		const axis = unit(p.normal);
		const angle = (p.angle * Math.PI) / 180;
		const n = Math.max(1, Math.ceil(angle / step - 1e-9));
		for (let i = 1; i <= n; i++) {
			const by = (angle * i) / n;
			run.push({
				at: i === n ? p.to : add(p.centre, turned(sub(p.from, p.centre), axis, by)),
				dir: turned(first.dir, axis, by),
				side: turned(first.side, axis, by),
			});
		}
	}
	return runs;
}

/**
 * pipe sweeps a tube of the outside and inside radius along a path. With inside 0
 * its ends are discs, otherwise rings, and it can be looked through. The surface is
 * closed; the corners lie on the circles.
 */
export function pipe(path: PathPiece[], outside: number, inside = 0, sides = SIDES, step = STEP): Mesh {
	const m = new Maker();
	for (const run of stations(path, step)) {
		m.wall(run, outside, sides, 1);
		if (inside > 0) m.wall(run, inside, sides, -1);
		m.end(run[0] as Station, outside, inside, sides, -1);
		m.end(run.at(-1) as Station, outside, inside, sides, 1);
	}
	return m.made();
}

/** rings lays a round bead around each of the stations. */
export function rings(at: Station[], radius: number, bead: number): Mesh {
	const path = at.flatMap(({ at: centre, dir, side }): PathPiece[] => {
		const [from, to] = [add(centre, times(side, radius)), sub(centre, times(side, radius))];
		const half = { kind: "arc" as const, centre, normal: dir, angle: 180 };
		return [
			{ ...half, from, to },
			{ ...half, from: to, to: from },
		];
	});
	return pipe(path, bead, 0, 6, Math.PI / 9);
}

/** ball is an ellipsoid with three half axes, given as vectors square to each other. */
export function ball(at: Point, a: Point, b: Point, c: Point, around = 24): Mesh {
	const m = new Maker();
	const up = around / 2;
	// of an ellipsoid the normal is the sum of each axis over its square
	const inverse = ([a, b, c] as const).map((v) => times(v, 1 / Math.max(dot(v, v), 1e-12)));
	for (let i = 0; i <= up; i++) {
		const [s, z] = [Math.sin((i * Math.PI) / up), Math.cos((i * Math.PI) / up)];
		for (let k = 0; k <= around; k++) {
			const by = (k * 2 * Math.PI) / around;
			const on: Point = [s * Math.cos(by), s * Math.sin(by), z];
			const sum = (v: readonly Point[]) =>
				add(times(v[0] as Point, on[0]), add(times(v[1] as Point, on[1]), times(v[2] as Point, on[2])));
			m.corner(add(at, sum([a, b, c])), unit(sum(inverse)));
		}
	}
	const wide = around + 1;
	const isLeft = dot(cross(a, b), c) < 0;
	for (let i = 0; i < up; i++)
		for (let k = 0; k < around; k++) {
			const at = i * wide + k;
			const [p, q, r, s] = [at, at + 1, at + wide, at + wide + 1];
			if (i > 0) isLeft ? m.triangle(p, q, r) : m.triangle(p, r, q);
			if (i < up - 1) isLeft ? m.triangle(q, s, r) : m.triangle(q, r, s);
		}
	return m.made();
}

/** sphere is a ball that is round. */
export const sphere = (at: Point, radius: number): Mesh =>
	ball(at, [radius, 0, 0], [0, radius, 0], [0, 0, radius], radius < SMALL ? 12 : 24);

/** rod is everything within the radius of a line through points: round ends, round corners. */
export function rod(points: Point[], radius: number): Mesh {
	const parts = points.map((p) => sphere(p, radius));
	points.slice(1).forEach((to, i) => {
		parts.push(pipe([{ kind: "line", from: points[i] as Point, to }], radius, 0, radius < SMALL ? 12 : 24));
	});
	return join(parts);
}

/** box is centred on at, with three half edges given as vectors square to each other. */
export function box(at: Point, x: Point, y: Point, z: Point): Mesh {
	const m = new Maker();
	const isLeft = dot(cross(x, y), z) < 0;
	for (const [a, b, c] of [
		[x, y, z],
		[y, z, x],
		[z, x, y],
	] as const)
		for (const s of [1, -1]) {
			const out = times(c, s);
			const n = m.count;
			for (const [u, v] of [
				[-1, -1],
				[1, -1],
				[1, 1],
				[-1, 1],
			] as const)
				m.corner(add(at, add(out, add(times(a, u), times(b, v)))), unit(out));
			const order = s > 0 !== isLeft ? [0, 1, 2, 3] : [3, 2, 1, 0];
			const [p, q, r, t] = order.map((k) => n + k) as [number, number, number, number];
			m.triangle(p, q, r);
			m.triangle(p, r, t);
		}
	return m.made();
}

/** plate stands on the pose's x and y, as thick as it is towards z. Its outline and its holes may run either way round. */
export function plate(pose: Pose, outline: Spot[], holes: Spot[][], thickness: number): Mesh {
	const m = new Maker();
	const loops = [outline, ...holes].map((ring, i) =>
		area(ring) > 0 === (i === 0) ? ring : [...ring].reverse(),
	);
	const starts = loops.map((_, i) => loops.slice(0, i).reduce((n, r) => n + r.length, 0));
	const faces = earcut(loops.flat(2), starts.slice(1));
	const spots = loops.flat();
	for (const [z, facing] of [
		[0, -1],
		[thickness, 1],
	] as const) {
		const first = m.count;
		for (const [x, y] of spots) m.corner(placed(pose, [x, y, z]), times(pose.z, facing));
		for (let i = 0; i < faces.length; i += 3) {
			const [a = 0, b = 0, c = 0] = faces.slice(i, i + 3);
			const isUp = area([spots[a], spots[b], spots[c]] as Spot[]) > 0 === facing > 0;
			if (isUp) m.triangle(first + a, first + b, first + c);
			else m.triangle(first + a, first + c, first + b);
		}
	}
	// Outside the outline runs round to the left, a hole to the right: metal is on the left of both.
	for (const ring of loops)
		ring.forEach(([x0, y0], i) => {
			const [x1, y1] = ring[(i + 1) % ring.length] as Spot;
			const out = unit(add(times(pose.x, y1 - y0), times(pose.y, x0 - x1)));
			const at = (x: number, y: number, z: number) => m.corner(placed(pose, [x, y, z]), out);
			const [a, b] = [at(x0, y0, 0), at(x1, y1, 0)];
			const [c, d] = [at(x1, y1, thickness), at(x0, y0, thickness)];
			m.triangle(a, b, c);
			m.triangle(a, c, d);
		});
	return m.made();
}

// Of a ring that runs round counter-clockwise the area is positive.
const area = (ring: Spot[]) =>
	ring.reduce((sum, [x, y], i) => {
		const [u, v] = ring[(i + 1) % ring.length] as Spot;
		return sum + (x * v - u * y) / 2;
	}, 0);

/** join puts meshes into one. */
export function join(parts: Mesh[]): Mesh {
	const all = (of: (m: Mesh) => Float32Array) => {
		const to = new Float32Array(parts.reduce((n, p) => n + of(p).length, 0));
		let at = 0;
		for (const p of parts) {
			to.set(of(p), at);
			at += of(p).length;
		}
		return to;
	};
	const indices = new Uint32Array(parts.reduce((n, p) => n + p.indices.length, 0));
	let [at, corners] = [0, 0];
	for (const p of parts) {
		for (const i of p.indices) indices[at++] = i + corners;
		corners += p.positions.length / 3;
	}
	return { positions: all((m) => m.positions), normals: all((m) => m.normals), indices };
}

class Maker {
	count = 0;
	private positions: number[] = [];
	private normals: number[] = [];
	private indices: number[] = [];

	corner(p: Point, n: Point): number {
		this.positions.push(p[0], p[1], p[2]);
		this.normals.push(n[0], n[1], n[2]);
		return this.count++;
	}

	triangle(a: number, b: number, c: number): void {
		this.indices.push(a, b, c);
	}

	// wall is a surface around the run, looked at from outside (1) or from inside (-1).
	wall(run: Station[], radius: number, sides: number, facing: 1 | -1): void {
		const first = this.count;
		for (const s of run)
			for (const out of spokes(s, sides)) this.corner(add(s.at, times(out, radius)), times(out, facing));
		for (let i = 0; i + 1 < run.length; i++)
			for (let k = 0; k < sides; k++) {
				const a = first + i * sides + k;
				const b = first + i * sides + ((k + 1) % sides);
				const [c, d] = [a + sides, b + sides];
				if (facing > 0) {
					this.triangle(a, b, c);
					this.triangle(b, d, c);
				} else {
					this.triangle(a, c, b);
					this.triangle(b, c, d);
				}
			}
	}

	// end closes a run, facing along its direction (1) or against it (-1).
	end(s: Station, outside: number, inside: number, sides: number, facing: 1 | -1): void {
		const first = this.count;
		const out = times(s.dir, facing);
		const around = spokes(s, sides);
		for (const o of around) this.corner(add(s.at, times(o, outside)), out);
		if (inside > 0) for (const o of around) this.corner(add(s.at, times(o, inside)), out);
		else this.corner(s.at, out);
		for (let k = 0; k < sides; k++) {
			const next = (k + 1) % sides;
			const [a, b] = facing > 0 ? [first + k, first + next] : [first + next, first + k];
			if (inside > 0) {
				this.triangle(a, b, a + sides);
				this.triangle(b, b + sides, a + sides);
			} else this.triangle(a, b, first + sides);
		}
	}

	made(): Mesh {
		return {
			positions: Float32Array.from(this.positions),
			normals: Float32Array.from(this.normals),
			indices: Uint32Array.from(this.indices),
		};
	}
}

// spokes are the directions to the corners of a cut, right-handed about its direction.
function spokes(s: Station, sides: number): Point[] {
	const other = cross(s.dir, s.side);
	return Array.from({ length: sides }, (_, k) => {
		const by = (k * 2 * Math.PI) / sides;
		return add(times(s.side, Math.cos(by)), times(other, Math.sin(by)));
	});
}

// Directions and places in three dimensions, as plain triples: mm in the frame of the
// first bank (x right, y up, z out of the head).

import type { Point } from "../types";

export const add = (a: Point, b: Point): Point => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const sub = (a: Point, b: Point): Point => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const times = (a: Point, k: number): Point => [a[0] * k, a[1] * k, a[2] * k];
export const dot = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const norm = (a: Point): number => Math.hypot(a[0], a[1], a[2]);
export const between = (a: Point, b: Point, share: number): Point => add(a, times(sub(b, a), share));

export const cross = (a: Point, b: Point): Point => [
	a[1] * b[2] - a[2] * b[1],
	a[2] * b[0] - a[0] * b[2],
	a[0] * b[1] - a[1] * b[0],
];

/** unit is a at length 1; the zero vector stays what it is. */
export function unit(a: Point): Point {
	const n = norm(a);
	return n > 0 ? times(a, 1 / n) : a;
}

/** square is some direction square to a. */
export function square(a: Point): Point {
	const [x, y, z] = a.map(Math.abs) as Point;
	const least: Point = x <= y && x <= z ? [1, 0, 0] : y <= z ? [0, 1, 0] : [0, 0, 1];
	return unit(cross(a, least));
}

/** turned turns v about a unit axis, right-handed, by an angle in rad (Rodrigues' formula, closed form). */
export function turned(v: Point, axis: Point, angle: number): Point {
	const [c, s] = [Math.cos(angle), Math.sin(angle)];
	return add(add(times(v, c), times(cross(axis, v), s)), times(axis, dot(axis, v) * (1 - c)));
}

/** A place with three directions square to each other, right-handed. */
export interface Pose {
	at: Point;
	x: Point;
	y: Point;
	z: Point;
}

/** poseOf is the frame whose z is dir and whose x is ref, as far as ref is square to dir. */
export function poseOf(at: Point, dir: Point, ref: Point): Pose {
	const z = unit(dir);
	const level = sub(ref, times(z, dot(ref, z)));
	const x = norm(level) > 1e-9 ? unit(level) : square(z);
	return { at, x, y: cross(z, x), z };
}

/** placed is where a point of the pose's own frame lies. */
export const placed = (p: Pose, [x, y, z]: Point): Point =>
	add(p.at, add(times(p.x, x), add(times(p.y, y), times(p.z, z))));

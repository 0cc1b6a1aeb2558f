// Where a drawing in three dimensions is looked at from. The eye is far away, so that
// parallel lines stay parallel and equal lengths look equal, as on a flat drawing.
// Turning is about the vertical and about the line across, so up stays up.

import type { Point } from "../types";
import { add, cross, dot, sub, times } from "./vec";

export interface Sight {
	az: number; // rad about y; 0 looks at the face
	el: number; // rad above the horizon, −90° to 90°
	at: Point; // what stands in the middle of the picture
	span: number; // mm from the middle to the upper edge
}

/** The directions of the picture: to the right, up, and towards the eye. */
export interface Axes {
	right: Point;
	up: Point;
	out: Point;
}

export function axesOf({ az, el }: Pick<Sight, "az" | "el">): Axes {
	const right: Point = [Math.cos(az), 0, -Math.sin(az)];
	const out: Point = [Math.cos(el) * Math.sin(az), Math.sin(el), Math.cos(el) * Math.cos(az)];
	return { right, up: cross(out, right), out };
}

/** The standard views. Seen from above, "out of the head" points down the picture; from the side, to the right. */
export const VIEWS = {
	front: { az: 0, el: 0 },
	above: { az: 0, el: Math.PI / 2 },
	below: { az: 0, el: -Math.PI / 2 },
	side: { az: -Math.PI / 2, el: 0 },
	corner: { az: 0.6, el: 0.45 },
} as const;

export const SPAN_MM = { least: 5, most: 20_000 };
const EDGE = 1.1; // room around what is fitted
const TURN = 0.008; // rad for a pixel; half a turn is a hand's breadth

/** fitted looks from the same side and shows all the points in a picture of this width over height. */
export function fitted(s: Pick<Sight, "az" | "el">, points: Point[], aspect: number): Sight {
	const { right, up, out } = axesOf(s);
	const range = (dir: Point) => {
		const along = points.map((p) => dot(p, dir));
		return points.length > 0 ? [Math.min(...along), Math.max(...along)] : [-100, 100];
	};
	const [[x0, x1], [y0, y1], [z0, z1]] = [range(right), range(up), range(out)] as [number, number][] as [
		[number, number],
		[number, number],
		[number, number],
	];
	const mid = (a: number, b: number, dir: Point) => times(dir, (a + b) / 2);
	const span = Math.max((y1 - y0) / 2, (x1 - x0) / 2 / aspect) * EDGE;
	return {
		az: s.az,
		el: s.el,
		at: add(mid(x0, x1, right), add(mid(y0, y1, up), mid(z0, z1, out))),
		span: limited(span),
	};
}

/** turnedBy turns what is seen along with a finger that moves by dx, dy pixels. */
export const turnedBy = (s: Sight, dx: number, dy: number): Sight => ({
	...s,
	az: s.az - dx * TURN,
	el: Math.min(Math.PI / 2, Math.max(-Math.PI / 2, s.el + dy * TURN)),
});

/** slidBy moves what is seen along with a finger, in a picture that is high pixels high. */
export function slidBy(s: Sight, dx: number, dy: number, high: number): Sight {
	const { right, up } = axesOf(s);
	const mm = (2 * s.span) / high;
	return { ...s, at: add(s.at, add(times(right, -dx * mm), times(up, dy * mm))) };
}

/** zoomed makes everything by times larger; what lies at about stays where it is in the picture. */
export function zoomed(s: Sight, by: number, about: Point = s.at): Sight {
	const span = limited(s.span / by);
	const k = span / s.span;
	return { ...s, span, at: add(about, times(sub(s.at, about), k)) };
}

/** shownAt is where a point appears, in pixels from the upper left of a picture of this size, and how near it is to the eye. */
export function shownAt(
	s: Sight,
	p: Point,
	wide: number,
	high: number,
): { x: number; y: number; near: number } {
	const { right, up, out } = axesOf(s);
	const d = sub(p, s.at);
	const px = high / (2 * s.span);
	return { x: wide / 2 + dot(d, right) * px, y: high / 2 - dot(d, up) * px, near: dot(d, out) };
}

const limited = (span: number) => Math.min(SPAN_MM.most, Math.max(SPAN_MM.least, span));

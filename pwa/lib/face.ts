// What drawings of a port face work out before they draw: how something lies once it
// is turned over, what holds all of it, and how much longer than they are misses are drawn.

import type { Corner, Laid, OnFace } from "./typesflange";

/** Side is from where a face is looked at: from the tubes x is to the right, from the head it is to the left. */
export type Side = "tubes" | "head";

/** laidAt is where a place comes to lie: turned over (x becomes −x), turned, moved. */
export function laidAt(l: Pick<Laid, "angle" | "mirrored" | "move">, [x, y]: OnFace): OnFace {
	const a = (l.angle * Math.PI) / 180;
	const over = l.mirrored ? -x : x;
	return [over * Math.cos(a) - y * Math.sin(a) + l.move[0], over * Math.sin(a) + y * Math.cos(a) + l.move[1]];
}

/** laidLoop is a closed path laid so; turned over, its arcs bulge the other way. */
export const laidLoop = (l: Pick<Laid, "angle" | "mirrored" | "move">, loop: Corner[]): Corner[] =>
	loop.map(([x, y, bulge]) => [...laidAt(l, [x, y]), l.mirrored ? -bulge : bulge]);

/** nearest is the one of some places that is closest to a place. */
export function nearest<T extends { at: OnFace }>(places: T[], [x, y]: OnFace): T | undefined {
	const off = (p: T) => Math.hypot(p.at[0] - x, p.at[1] - y);
	return places.reduce<T | undefined>((best, p) => (!best || off(p) < off(best) ? p : best), undefined);
}

export interface Box {
	x0: number;
	x1: number;
	y0: number;
	y1: number;
}

/** boxOf holds places and closed paths, arcs included. */
export function boxOf(loops: Corner[][], places: OnFace[] = []): Box {
	const xs = places.map((p) => p[0]);
	const ys = places.map((p) => p[1]);
	for (const loop of loops) {
		loop.forEach(([x, y, bulge], i) => {
			xs.push(x);
			ys.push(y);
			const next = loop[(i + 1) % loop.length];
			if (!next || bulge === 0) return;
			for (const [ax, ay] of along([x, y], [next[0], next[1]], bulge)) {
				xs.push(ax);
				ys.push(ay);
			}
		});
	}
	return { x0: Math.min(...xs), x1: Math.max(...xs), y0: Math.min(...ys), y1: Math.max(...ys) };
}

/** traced are places along a closed path, arcs included, at most step apart. */
export function traced(loop: Corner[], step: number): OnFace[] {
	return loop.flatMap(([x, y, bulge], i): OnFace[] => {
		const [nx, ny] = loop[(i + 1) % loop.length] ?? [x, y];
		const knots: OnFace[] = [[x, y], ...(bulge === 0 ? [] : along([x, y], [nx, ny], bulge)), [nx, ny]];
		return knots.slice(1).flatMap(([bx, by], k): OnFace[] => {
			const [ax, ay] = knots[k] ?? [bx, by];
			const n = Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / step));
			return Array.from(
				{ length: n },
				(_, j): OnFace => [ax + ((bx - ax) * j) / n, ay + ((by - ay) * j) / n],
			);
		});
	});
}

/** freest is the first of some boxes that holds the fewest of the places, and no part of a box that is taken. */
export function freest(boxes: Box[], ink: OnFace[], taken: Box[]): Box | undefined {
	const cost = (b: Box) =>
		ink.filter(([x, y]) => x > b.x0 && x < b.x1 && y > b.y0 && y < b.y1).length +
		100 * taken.filter((t) => t.x1 > b.x0 && t.x0 < b.x1 && t.y1 > b.y0 && t.y0 < b.y1).length;
	return boxes.reduce<Box | undefined>((best, b) => (!best || cost(b) < cost(best) ? b : best), undefined);
}

const PARTS = 12; // of an arc: to within 1 % of its radius, for a box

// Places on an arc. From the middle of its chord to its top it is bulge · half the chord.
function along(from: OnFace, to: OnFace, bulge: number): OnFace[] {
	const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
	const k = (1 - bulge * bulge) / (4 * bulge);
	const [cx, cy] = [(from[0] + to[0]) / 2 - dy * k, (from[1] + to[1]) / 2 + dx * k];
	const sweep = 4 * Math.atan(bulge);
	const start = Math.atan2(from[1] - cy, from[0] - cx);
	const r = Math.hypot(from[0] - cx, from[1] - cy);
	return Array.from({ length: PARTS - 1 }, (_, i): OnFace => {
		const a = start + (sweep * (i + 1)) / PARTS;
		return [cx + r * Math.cos(a), cy + r * Math.sin(a)];
	});
}

/**
 * timesLonger is how many times longer than they are misses are drawn: 1, 2 or 5 times a power of ten, so that
 * the longest is at most a length that can be seen; never shorter than they are.
 */
export function timesLonger(misses: number[], seen: number): number {
	const longest = Math.max(0, ...misses);
	if (!(longest > 1e-3)) return 1; // a micrometre is rounding
	const most = seen / longest;
	const ten = 10 ** Math.floor(Math.log10(most));
	return Math.max(1, ([5, 2].find((n) => n * ten <= most) ?? 1) * ten);
}

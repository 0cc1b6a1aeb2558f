// Port outlines as SVG path data, in mm times a scale, y already turned down as the
// screen has it. For looking at; nothing is cut by it.

import type { Corner, OnFace } from "../lib/typesflange";

export interface Size {
	shape: string;
	width: number;
	height: number;
	corner: number;
	diameter: number;
	radius: number;
	flat: number;
	turn: number; // °, counter-clockwise
	points: OnFace[]; // measured round it, before it is turned
}

/** turned is where a place of the outline comes to lie, about the port's centre. */
export function turned(turn: number, [x, y]: OnFace): OnFace {
	const a = (turn * Math.PI) / 180;
	return [x * Math.cos(a) - y * Math.sin(a), x * Math.sin(a) + y * Math.cos(a)];
}

/** isDrawn tells whether there is an outline: one that is to be measured point by point has none before. */
export const isDrawn = (s: Size): boolean => s.shape !== "points" || s.points.length > 2;

/** extent is how far the outline reaches to the left, right, and up or down before it is turned, in mm. */
export function extent(s: Size): { left: number; right: number; half: number } {
	if (s.shape === "round") return { left: s.diameter / 2, right: s.diameter / 2, half: s.diameter / 2 };
	if (s.shape === "d") return { left: s.flat, right: s.radius, half: s.radius };
	if (s.shape === "points") {
		if (s.points.length === 0) return { left: 0, right: 0, half: 0 }; // only its centre is known
		const most = (of: (p: OnFace) => number) => Math.max(...s.points.map(of));
		return { left: most((p) => -p[0]), right: most((p) => p[0]), half: most((p) => Math.abs(p[1])) };
	}
	return { left: s.width / 2, right: s.width / 2, half: s.height / 2 };
}

/** box is the corners of what holds the outline, turned as it is. */
export function box(s: Size): OnFace[] {
	const { left, right, half } = extent(s);
	const corners: OnFace[] = [
		[right, half],
		[-left, half],
		[-left, -half],
		[right, -half],
	];
	return corners.map((c) => turned(s.turn, c));
}

/** outlinePath writes the closed outline about the point x, y of the screen. */
export function outlinePath(s: Size, x: number, y: number, scale: number): string {
	const at = (p: OnFace): OnFace => {
		const [dx, dy] = turned(s.turn, p);
		return [x + dx * scale, y - dy * scale];
	};
	if (s.shape !== "oval") return loopPath(loopOf(s), at);
	const [w, h] = [s.width / 2, s.height / 2];
	const half = (end: OnFace) => `A${n(w * scale)} ${n(h * scale)} ${n(-s.turn)} 0 0 ${pair(at(end))}`;
	return `M${pair(at([w, 0]))}${half([-w, 0])}${half([w, 0])}Z`;
}

/**
 * loopPath writes a closed path of lines and arcs. at puts a place on the screen; flip
 * tells that it turns left and right round, which turns the arcs round too.
 */
export function loopPath(loop: Corner[], at: (p: OnFace) => OnFace, flip = false): string {
	return loop
		.map(([x, y, bulge], i) => {
			const next = loop[(i + 1) % loop.length] as Corner;
			const [from, to] = [at([x, y]), at([next[0], next[1]])];
			const start = i === 0 ? `M${pair(from)}` : "";
			if (bulge === 0) return `${start}L${pair(to)}`;
			const chord = Math.hypot(to[0] - from[0], to[1] - from[1]);
			const r = n((chord * (1 + bulge * bulge)) / (4 * Math.abs(bulge)));
			return `${start}A${r} ${r} 0 ${Math.abs(bulge) > 1 ? 1 : 0} ${bulge > 0 === flip ? 1 : 0} ${pair(to)}`;
		})
		.join("")
		.concat(loop.length > 0 ? "Z" : "");
}

// A quarter turn, as the bulge of its chord.
const QUARTER = Math.SQRT2 - 1;

// The outline as lines and arcs, counter-clockwise, before it is turned.
function loopOf(s: Size): Corner[] {
	const r = s.diameter / 2;
	if (s.shape === "round")
		return [
			[r, 0, 1],
			[-r, 0, 1],
		];
	if (s.shape === "d") return dLoop(s);
	if (s.shape === "points") return s.points.map(([x, y]) => [x, y, 0]);
	const [w, h] = [s.width / 2, s.height / 2];
	const c = s.shape === "stadium" ? Math.min(w, h) : Math.min(s.corner, w, h);
	return [
		[w, h - c, QUARTER],
		[w - c, h, 0],
		[c - w, h, QUARTER],
		[-w, h - c, 0],
		[-w, c - h, QUARTER],
		[c - w, -h, 0],
		[w - c, -h, QUARTER],
		[w, c - h, 0],
	];
}

// A circle cut by a flat at x = −flat, filleted where the two meet.
function dLoop(s: Size): Corner[] {
	const R = s.radius;
	const c = Math.max(Math.min(s.flat, R * 0.99), -R * 0.99);
	const r = Math.max(0, Math.min(s.corner, (R + c) / 2));
	const fx = r - c; // centre of a fillet
	const fy = Math.sqrt(Math.max(0, (R + c - 2 * r) * (R - c)));
	const reach = Math.hypot(fx, fy) || 1;
	const [mx, my] = [(fx / reach) * R, (fy / reach) * R]; // where fillet and circle touch
	const upper = Math.atan2(my, mx);
	const fillet = Math.tan((Math.PI - upper) / 4);
	return [
		[mx, -my, Math.tan(upper / 2)],
		[mx, my, fillet],
		[-c, fy, 0],
		[-c, -fy, fillet],
	];
}

const pair = ([x, y]: OnFace) => `${n(x)} ${n(y)}`;
const n = (v: number) => String(Math.round(v * 100) / 100);

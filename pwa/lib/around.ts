// What the pages about collectors, neighbours and mock-ups work out of the plan's
// figures before they show them. Nothing here decides; the calculation has.

import type { Point } from "./types";
import type { PlanPoint } from "./typesaround";
import type { Lever } from "./typesplan";

/** leverRows are the joints that move the end, the one that moves it most first. */
export function leverRows(levers: Lever[]): Lever[] {
	const by = (l: Lever) => l.end_per_mm_of_mark ?? l.end_per_degree ?? 0;
	return levers.filter((l) => by(l) > 0).sort((a, b) => by(b) - by(a));
}

/** An ellipse on the sheet: semi-axes and the angle from the first axis of the sheet to the larger one, in degrees. */
export interface Ellipse {
	long: number;
	short: number;
	angle: number;
}

/**
 * shadow is what an ellipsoid of uncertainty covers on a sheet spanned by two axes
 * of its frame (0 for x, 1 for y, 2 for z): the ellipse of the covariance
 * Σ sᵢ² aᵢ aᵢᵀ with the third axis left out. Closed form. null without figures.
 */
export function shadow(p: PlanPoint | undefined, across: 0 | 1 | 2, up: 0 | 1 | 2): Ellipse | null {
	const { sigma, axes } = p ?? {};
	if (!sigma || !axes) return null;
	let [cxx, cxy, cyy] = [0, 0, 0];
	sigma.forEach((s, i) => {
		const a = axes[i];
		if (!a) return;
		cxx += s * s * a[across] * a[across];
		cxy += s * s * a[across] * a[up];
		cyy += s * s * a[up] * a[up];
	});
	const mid = (cxx + cyy) / 2;
	const half = Math.hypot((cxx - cyy) / 2, cxy);
	return {
		long: Math.sqrt(mid + half),
		short: Math.sqrt(Math.max(0, mid - half)),
		angle: half === 0 ? 0 : (Math.atan2(2 * cxy, cxx - cyy) * 90) / Math.PI,
	};
}

/** bar is the longest of 1, 2, 5 times a power of ten that is not longer than most. */
export function bar(most: number): number {
	if (!(most > 0) || !Number.isFinite(most)) return 0;
	const ten = 10 ** Math.floor(Math.log10(most));
	return ([5, 2, 1].find((n) => n * ten <= most) ?? 1) * ten;
}

/** isPlace tells whether a place was worked out. */
export const isPlace = (p: Point | null | undefined): p is Point => Array.isArray(p) && p.length === 3;

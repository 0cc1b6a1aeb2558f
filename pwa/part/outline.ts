// Port outlines as SVG path data, about the port's centre, in mm times a scale,
// y already turned down as the screen has it. For looking at; nothing is cut by it.

export interface Size {
	shape: string;
	width: number;
	height: number;
	corner: number;
	diameter: number;
	radius: number;
	flat: number;
}

/** extent is how far the outline reaches to the left, right, and up or down, in mm. */
export function extent(s: Size): { left: number; right: number; half: number } {
	if (s.shape === "round") return { left: s.diameter / 2, right: s.diameter / 2, half: s.diameter / 2 };
	if (s.shape === "d") return { left: s.flat, right: s.radius, half: s.radius };
	return { left: s.width / 2, right: s.width / 2, half: s.height / 2 };
}

/** outlinePath writes the closed outline about the point x, y of the screen. */
export function outlinePath(s: Size, x: number, y: number, scale: number): string {
	const k = (v: number) => v * scale;
	if (s.shape === "round") return ellipse(x, y, k(s.diameter / 2), k(s.diameter / 2));
	if (s.shape === "oval") return ellipse(x, y, k(s.width / 2), k(s.height / 2));
	if (s.shape === "d") return dPath(s, x, y, scale);
	const w = k(s.width / 2);
	const h = k(s.height / 2);
	const r = s.shape === "stadium" ? Math.min(w, h) : Math.min(k(s.corner), w, h);
	const arc = (dx: number, dy: number) => `a${n(r)} ${n(r)} 0 0 1 ${n(dx)} ${n(dy)}`;
	return [
		`M${n(x - w + r)} ${n(y - h)}H${n(x + w - r)}`,
		arc(r, r),
		`V${n(y + h - r)}`,
		arc(-r, r),
		`H${n(x - w + r)}`,
		arc(-r, -r),
		`V${n(y - h + r)}`,
		arc(r, -r),
		"Z",
	].join("");
}

// A circle cut by a flat at x = −flat, filleted where the two meet.
function dPath(s: Size, x: number, y: number, scale: number): string {
	const R = s.radius;
	const c = Math.max(Math.min(s.flat, R * 0.99), -R * 0.99);
	const r = Math.max(0, Math.min(s.corner, (R + c) / 2));
	const fx = r - c; // centre of a fillet
	const fy = Math.sqrt(Math.max(0, (R + c - 2 * r) * (R - c)));
	const reach = Math.hypot(fx, fy) || 1;
	const mx = (fx / reach) * R; // where fillet and circle touch
	const my = (fy / reach) * R;
	const at = (px: number, py: number) => `${n(x + px * scale)} ${n(y + py * scale)}`;
	const arc = (radius: number, large: number) => `A${n(radius * scale)} ${n(radius * scale)} 0 ${large} 1 `;
	return [
		`M${at(-c, fy)}L${at(-c, -fy)}`,
		arc(r, 0) + at(mx, -my),
		arc(R, mx < 0 ? 1 : 0) + at(mx, my),
		`${arc(r, 0)}${at(-c, fy)}Z`,
	].join("");
}

function ellipse(x: number, y: number, rx: number, ry: number): string {
	const half = (dx: number) => `a${n(rx)} ${n(ry)} 0 0 1 ${n(dx)} 0`;
	return `M${n(x - rx)} ${n(y)}${half(2 * rx)}${half(-2 * rx)}Z`;
}

const n = (v: number) => String(Math.round(v * 100) / 100);

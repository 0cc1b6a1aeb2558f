import type { Places, Shape } from "../lib/photos";

/** A picture's upright size, px. */
export interface Size {
	w: number;
	h: number;
}

interface PhotoMarkProps {
	shape: Shape;
	points: Places;
	text: string;
	size: Size;
}

// <PhotoMarkShape shape="arrow" points={…}> draws one mark over a picture. A dark and a light edge make it
// visible on any picture.
// Props: shape, points (millionths of width and height), text, size (of the picture).  Calls: nothing.
export function PhotoMarkShape({ shape, points, text, size }: PhotoMarkProps) {
	const [x1, y1, x2, y2] = inPixels(points, size);
	if (shape === "text") {
		return (
			<text class="mark-text" x={x1} y={y1} font-size={unit(size) * 4.4} text-anchor="middle">
				{text}
			</text>
		);
	}
	return <Edged d={path(shape, x1, y1, x2, y2, unit(size))} />;
}

// <Cross at={…}> shows where a mark begins.
// Props: at (millionths), size.  Calls: nothing.
export function Cross({ at, size }: { at: [number, number]; size: Size }) {
	const [x, y] = inPixels([...at, 0, 0], size);
	const r = unit(size) * 2;
	return <Edged d={`M${x - r} ${y}H${x + r}M${x} ${y - r}V${y + r}`} />;
}

function Edged({ d }: { d: string }) {
	return (
		<g class="mark-line">
			<path class="mark-dark" d={d} />
			<path class="mark-light" d={d} />
			<path class="mark-core" d={d} />
		</g>
	);
}

const unit = ({ w, h }: Size) => Math.max(w, h) / 100;

const inPixels = ([x1, y1, x2, y2]: Places, { w, h }: Size): Places => [
	(x1 * w) / 1e6,
	(y1 * h) / 1e6,
	(x2 * w) / 1e6,
	(y2 * h) / 1e6,
];

function path(shape: Shape, x1: number, y1: number, x2: number, y2: number, u: number): string {
	const line = `M${x1} ${y1}L${x2} ${y2}`;
	if (shape === "line") return line;
	const r = Math.hypot(x2 - x1, y2 - y1);
	if (shape === "circle") return `M${x1 - r} ${y1}a${r} ${r} 0 1 0 ${2 * r} 0a${r} ${r} 0 1 0 ${-2 * r} 0`;
	const way = Math.atan2(y2 - y1, x2 - x1);
	const barb = (turn: number) => `L${x2 - 4 * u * Math.cos(way + turn)} ${y2 - 4 * u * Math.sin(way + turn)}`;
	return `${line}M${x2} ${y2}${barb(0.5)}M${x2} ${y2}${barb(-0.5)}`;
}

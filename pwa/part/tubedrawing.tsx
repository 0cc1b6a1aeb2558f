import { choose } from "../lib/textchoose";
import { tubes } from "../lib/texttube";
import type { Point } from "../lib/types";
import { Axes } from "./axes";
import { Mark } from "./mark";

interface TubeDrawingProps {
	title: string;
	points: Point[];
	doubt: boolean;
}

const WIDE = 370;
const HIGH = 300;
const EDGE = 44;

// <TubeDrawing title="Tube 1" points={xyz}> draws the path of a tube through its intersection points, seen
// facing the port face (x, y) and from above (x, z), each with axes and the start as a ring.
// Props: title, points (mm, bank frame), doubt (they rest on readings in dispute: dashed, with the mark).  Calls: nothing.
export function TubeDrawing({ title, points, doubt }: TubeDrawingProps) {
	if (points.length < 2) return null;
	return (
		<figure class={`drawing drawing-two ${doubt ? "doubt" : ""}`}>
			<View
				label={`${title}, ${tubes.front}`}
				across="x"
				upward="y"
				points={points.map((p) => [p[0], p[1]])}
			/>
			<View
				label={`${title}, ${tubes.above}`}
				across="x"
				down="z" // towards who faces the port face
				points={points.map((p) => [p[0], -p[2]])}
			/>
			{doubt && (
				<figcaption class="row">
					<Mark kind="disputed" />
					{choose.doubt}
				</figcaption>
			)}
		</figure>
	);
}

interface ViewProps {
	label: string;
	across: string;
	upward?: string; // or else
	down?: string;
	points: [number, number][];
}

function View({ label, across, upward, down, points }: ViewProps) {
	const xs = points.map((p) => p[0]);
	const ys = points.map((p) => p[1]);
	const [x0, x1, y0, y1] = [Math.min(...xs), Math.max(...xs), Math.min(...ys), Math.max(...ys)];
	const scale = Math.min(
		(WIDE - 2 * EDGE) / Math.max(x1 - x0, 20),
		(HIGH - 2 * EDGE) / Math.max(y1 - y0, 20),
	);
	const at = (p: [number, number]): [number, number] => [
		Math.round(WIDE / 2 + (p[0] - (x0 + x1) / 2) * scale),
		Math.round(HIGH / 2 - (p[1] - (y0 + y1) / 2) * scale),
	];
	const spots = points.map(at);
	const start = spots[0] ?? [0, 0];
	const end = spots.at(-1) ?? [0, 0];
	return (
		<svg viewBox={`0 0 ${WIDE} ${HIGH}`} role="img" aria-label={label}>
			<Axes across={across} upward={upward} down={down} high={HIGH} />
			<path class="line" d={`M${spots.map((s) => s.join(" ")).join("L")}`} />
			<circle class="line" cx={start[0]} cy={start[1]} r="8" />
			<circle class="dot" cx={end[0]} cy={end[1]} r="6" />
			<text x={WIDE - 10} y="20" text-anchor="end">
				{upward ? tubes.front : tubes.above}
			</text>
		</svg>
	);
}

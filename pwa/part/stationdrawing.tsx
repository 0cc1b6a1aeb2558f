import { length } from "../lib/say";
import { units } from "../lib/state";
import { fixture } from "../lib/textfixture";

interface StationDrawingProps {
	name: string;
	straight: { from: number; to: number };
	at: number;
	others: { name: string; at: number }[];
}

const WIDE = 720;
const HIGH = 188;
const FIGURE = 128; // width of a figure
const EDGE = 126; // for what bends on at both ends
const TUBE = 40;
const TOP = 66;

// A figure stands below its part of the line, or further out where that is too short for it.
function beside(end: number, at: number): number {
	const off = Math.max(Math.abs(end - at), FIGURE) / 2;
	return at + (end < at ? -off : off);
}

// <StationDrawing name="1-B" straight={{ from, to }} at={…} others={[]}> is the straight that a station holds, to
// scale along it: the bends at its ends, the mark scribed with how far it is from where both begin.
// Props: name, straight, at, others (stations of the same straight); mm along the centreline.  Calls: nothing.
export function StationDrawing({ name, straight, at, others }: StationDrawingProps) {
	const u = units.value;
	const long = Math.max(straight.to - straight.from, 1);
	const x = (v: number) =>
		Math.round((EDGE + Math.max(-0.1, Math.min(1.1, (v - straight.from) / long)) * (WIDE - 2 * EDGE)) * 10) /
		10;
	const [left, right] = [x(straight.from), x(straight.to)];
	const low = TOP + TUBE + 40;
	return (
		<figure class="drawing station-drawing">
			<svg viewBox={`0 0 ${WIDE} ${HIGH}`} role="img" aria-label={fixture.station.drawing}>
				<path class="line" d={`M${left} ${TOP}H${right}M${left} ${TOP + TUBE}H${right}`} />
				<path
					class="thin"
					d={`M${left} ${TOP}V${TOP + TUBE}M${right} ${TOP}V${TOP + TUBE}M${left} ${TOP + TUBE / 2}H${right}`}
				/>
				{straight.from > 0 ? (
					<path class="line" d={`M${left} ${TOP}q-44 0-58-40M${left} ${TOP + TUBE}q-84 0-98-62`} />
				) : (
					<path class="line" d={`M${left} ${TOP - 26}V${TOP + TUBE + 26}h-12V${TOP - 26}z`} />
				)}
				<path class="line" d={`M${right} ${TOP}q44 0 58-40M${right} ${TOP + TUBE}q84 0 98-62`} />
				{others.map((o) => (
					<g key={o.name}>
						<path class="thin" d={`M${x(o.at)} ${TOP - 8}V${TOP + TUBE + 8}`} />
						<text x={x(o.at)} y={TOP - 14} text-anchor="middle">
							{o.name}
						</text>
					</g>
				))}
				<g class="scribe">
					<path class="line" d={`M${x(at)} ${TOP - 16}V${low + 8}`} />
					<text x={x(at)} y={TOP - 24} text-anchor="middle">
						{name}
					</text>
					<path
						class="thin"
						d={`M${left} ${TOP + TUBE + 8}V${low + 8}M${right} ${TOP + TUBE + 8}V${low + 8}`}
					/>
					<path class="thin" d={`M${left} ${low}H${right}`} />
					<text x={beside(left, x(at))} y={low + 32} text-anchor="middle">
						{length(at - straight.from, u)}
					</text>
					<text x={beside(right, x(at))} y={low + 32} text-anchor="middle">
						{length(straight.to - at, u)}
					</text>
				</g>
			</svg>
		</figure>
	);
}

import { degrees, wholeDegrees } from "../lib/say";
import { sizing } from "../lib/textsizing";
import type { Group, Pairing, Spot } from "../lib/typessizing";

interface CrankDialProps {
	pairing: Pairing;
	groups?: Group[];
}

const SIZE = 520;
const MID = SIZE / 2;
const R = 156;
const ANCHORS = ["end", "middle", "start"] as const; // of what stands left of, over and right of the middle
const DASHES = ["", "14 8", "3 7", "18 6 3 6"];

// <CrankDial pairing={…} groups={…}> is the crank's circle as it fires: once round is 720°, two turns of the crank.
// Cylinders stand where they fire, a ring or a square by their bank; those of a group are joined by lines of one dash,
// with the gap in degrees on each.
// Props: pairing, groups.  Calls: nothing.
export function CrankDial({ pairing: p, groups = [] }: CrankDialProps) {
	const at = (n: number) => p.spots.find((s) => s.cylinder === n);
	const said = p.spots.map((s) => sizing.pairing.cylinder(s.cylinder, s.bank, degrees(s.cycle)));
	return (
		<figure class="drawing dial">
			<svg viewBox={`0 0 ${SIZE} ${SIZE}`} role="img" aria-label={[sizing.pairing.dial, ...said].join("; ")}>
				<circle class="thin" cx={MID} cy={MID} r={R} />
				<path class="axis" d={`M${MID} ${MID - R - 24}V${MID + R + 24}`} />
				{[1, 2].map((n) => (
					<text
						key={n}
						x={n === 1 ? SIZE - 12 : 12}
						y={48}
						text-anchor={n === 1 ? "end" : "start"}
						class="dial-turn"
					>
						{sizing.pairing.turn(n)}
					</text>
				))}
				<Lines lines={linesOf(groups, at)} />
				{p.spots.map((s) => (
					<Cylinder key={s.cylinder} spot={s} isSecond={s.bank !== p.banks[0]?.name} />
				))}
				<text x={MID} y={22} text-anchor="middle">
					0°
				</text>
				<text x={MID} y={SIZE - 10} text-anchor="middle">
					360°
				</text>
			</svg>
			<figcaption class="soft small">{sizing.pairing.dial}</figcaption>
		</figure>
	);
}

// Where a place of the cycle lies on the circle, r from its middle.
function place(cycle: number, r: number): Point {
	const turn = (cycle / 720) * 2 * Math.PI;
	return [MID + r * Math.sin(turn), MID - r * Math.cos(turn)];
}

function Cylinder({ spot: s, isSecond }: { spot: Spot; isSecond: boolean }) {
	const [x, y] = place(s.cycle, R);
	const side = Math.sign(Math.round(x - MID));
	const [tx, ty] = place(s.cycle, side === 0 ? R + 44 : R + 38);
	const isEnd = s.cycle === 0 || s.cycle === 360; // 0° and 360° stand there in any case
	return (
		<g class="dial-cylinder" data-cylinder={s.cylinder}>
			{isSecond ? <rect x={x - 21} y={y - 21} width="42" height="42" /> : <circle cx={x} cy={y} r="23" />}
			<text x={x} y={y + 8} text-anchor="middle" class="dial-number">
				{s.cylinder}
			</text>
			{!isEnd && (
				<text x={tx} y={ty + 6} text-anchor={ANCHORS[side + 1]} class="dial-at">
					{wholeDegrees(s.cycle)}
				</text>
			)}
		</g>
	);
}

interface Line {
	key: string;
	dash: string;
	a: Point;
	b: Point;
	says: string; // the gap, "" where another line of the group says it
}

type Point = [number, number];

// The lines of all groups; each gap is that from one cylinder to the next, as the calculation gives it.
function linesOf(groups: Group[], at: (n: number) => Spot | undefined): Line[] {
	return groups.flatMap((g, k) => {
		const n = g.cylinders.length;
		if (n < 2) return [];
		return g.cylinders.slice(0, n === 2 ? 1 : n).flatMap((c, i) => {
			const [a, b] = [at(c), at(g.cylinders[(i + 1) % n] ?? 0)];
			if (!a || !b) return [];
			// where all are the same the first says it
			const says = n === 2 ? [...new Set(g.gaps)] : g.even && i > 0 ? [] : [g.gaps[i] ?? 0];
			return [
				{
					key: `${k} ${c}`,
					dash: DASHES[k % DASHES.length] ?? "",
					a: place(a.cycle, R),
					b: place(b.cycle, R),
					says: says.map(wholeDegrees).join(" / "),
				},
			];
		});
	});
}

const along = ({ a, b }: Line, t: number): Point => [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t];

// How far a point is from a line between its ends.
function off(p: Point, l: Line): number {
	const [x, y] = [l.b[0] - l.a[0], l.b[1] - l.a[1]];
	const t = ((p[0] - l.a[0]) * x + (p[1] - l.a[1]) * y) / (x * x + y * y);
	const [u, v] = along(l, Math.min(1, Math.max(0, t)));
	return Math.hypot(p[0] - u, p[1] - v);
}

const PLACES = [0.5, 0.4, 0.6, 0.32, 0.68, 0.25, 0.75];
const CLEAR = 26; // px from the middle of a figure to another line
const HALF = [6, 12] as const; // of a figure: half a sign's width, half its height

// Where each gap stands on its line: as near to the middle as it is clear of the other lines and figures.
function figuresOf(lines: Line[]): { line: Line; at: Point }[] {
	const put: { line: Line; at: Point }[] = [];
	for (const line of lines.filter((l) => l.says !== "")) {
		const free = (p: Point) => {
			const lies = lines.filter((o) => o !== line).map((o) => off(p, o));
			const besides = put.map((o) =>
				Math.max(
					Math.abs(p[0] - o.at[0]) - HALF[0] * (line.says.length + o.line.says.length),
					Math.abs(p[1] - o.at[1]) - 2 * HALF[1],
				),
			);
			// to lie on another figure is worse than on a line
			return Math.min(CLEAR, ...lies, ...besides.map((v) => (v < 0 ? 10 * v : CLEAR)));
		};
		const places = PLACES.map((t) => along(line, t));
		const best = places.reduce((a, b) => (free(b) > free(a) + 1 ? b : a));
		put.push({ line, at: best });
	}
	return put;
}

function Lines({ lines }: { lines: Line[] }) {
	return (
		<g>
			{lines.map((l) => (
				<path
					key={l.key}
					class="dial-line"
					stroke-dasharray={l.dash}
					d={`M${l.a[0]} ${l.a[1]}L${l.b[0]} ${l.b[1]}`}
				/>
			))}
			{figuresOf(lines).map(({ line, at: [x, y] }) => (
				<text key={line.key} class="dial-gap" x={x} y={y + 6} text-anchor="middle">
					{line.says}
				</text>
			))}
		</g>
	);
}

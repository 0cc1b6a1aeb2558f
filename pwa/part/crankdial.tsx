import { degrees } from "../lib/say";
import { sizing } from "../lib/textsizing";
import type { Group, Pairing, Spot } from "../lib/typessizing";

interface CrankDialProps {
	pairing: Pairing;
	groups?: Group[];
}

const SIZE = 520;
const MID = SIZE / 2;
const R = 168;
const ALONG = 0.36; // of a line, where its gap stands: in the middle those of two diameters would lie on each other
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
				{groups.map((g, i) => (
					<Lines key={g.cylinders.join()} group={g} at={at} dash={DASHES[i % DASHES.length] ?? ""} />
				))}
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

const whole = (v: number) => degrees(v).replace(".0°", "°");

// Where a place of the cycle lies on the circle, r from its middle.
function place(cycle: number, r: number): [number, number] {
	const turn = (cycle / 720) * 2 * Math.PI;
	return [MID + r * Math.sin(turn), MID - r * Math.cos(turn)];
}

function Cylinder({ spot: s, isSecond }: { spot: Spot; isSecond: boolean }) {
	const [x, y] = place(s.cycle, R);
	const [tx, ty] = place(s.cycle, R + 50);
	const isEnd = s.cycle === 0 || s.cycle === 360; // 0° and 360° stand there in any case
	return (
		<g class="dial-cylinder" data-cylinder={s.cylinder}>
			{isSecond ? <rect x={x - 21} y={y - 21} width="42" height="42" /> : <circle cx={x} cy={y} r="23" />}
			<text x={x} y={y + 8} text-anchor="middle" class="dial-number">
				{s.cylinder}
			</text>
			{!isEnd && (
				<text x={tx} y={ty + 6} text-anchor="middle" class="dial-at">
					{whole(s.cycle)}
				</text>
			)}
		</g>
	);
}

// The lines of a group; each gap is that from one cylinder to the next, as the calculation gives it.
function Lines({ group: g, at, dash }: { group: Group; at: (n: number) => Spot | undefined; dash: string }) {
	const n = g.cylinders.length;
	if (n < 2) return null;
	const lines = g.cylinders.slice(0, n === 2 ? 1 : n).flatMap((c, i) => {
		const [a, b] = [at(c), at(g.cylinders[(i + 1) % n] ?? 0)];
		if (!a || !b) return [];
		const says = n === 2 ? [...new Set(g.gaps)] : [g.gaps[i] ?? 0];
		return [{ key: c, a: place(a.cycle, R), b: place(b.cycle, R), says: says.map(whole).join(" / ") }];
	});
	return (
		<g>
			{lines.map((l) => (
				<path
					key={l.key}
					class="dial-line"
					stroke-dasharray={dash}
					d={`M${l.a[0]} ${l.a[1]}L${l.b[0]} ${l.b[1]}`}
				/>
			))}
			{lines.map((l) => (
				<text
					key={l.key}
					class="dial-gap"
					x={l.a[0] + (l.b[0] - l.a[0]) * ALONG}
					y={l.a[1] + (l.b[1] - l.a[1]) * ALONG + 6}
					text-anchor="middle"
				>
					{l.says}
				</text>
			))}
		</g>
	);
}

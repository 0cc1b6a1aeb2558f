import { length, type Units } from "../lib/say";
import { steps, worked } from "../lib/sizing";
import { units } from "../lib/state";
import { sizing } from "../lib/textsizing";
import type { Rule, Spread, SpreadMark } from "../lib/typessizing";

interface SpreadDrawingProps {
	spread: Spread;
	rules: Rule[];
	isDecided: boolean;
}

const WIDE = 760;
const LEFT = 24;
const RIGHT = WIDE - 24;
const ROW = 84;
const HALF = 7; // of a usual bold sign's width, in the drawing's px

// <SpreadDrawing spread={…} rules={…}> is what all rules say to one question on one scale: a bar from low to high, an
// upright tick for the value, its start point and grade below it, and what was decided as a line through all.
// Props: spread, rules (all, for their names), isDecided (else what is chosen is taken so far).  Calls: nothing.
export function SpreadDrawing({ spread: s, rules, isDecided }: SpreadDrawingProps) {
	const u = units.value;
	const name = (m: SpreadMark) =>
		[rules.find((r) => r.id === m.rule)?.name ?? m.rule, m.name].filter((w) => w !== "").join(", ");
	const ends = s.marks.flatMap((m) => [m.low, m.high, m.value]);
	const all = s.chosen === null ? ends : [...ends, s.chosen];
	const [low, high] = [Math.min(s.from, ...all), Math.max(s.to, ...all)];
	const room = (high - low) * 0.04 || Math.max(1, high * 0.02);
	const [from, to] = [low - room, high + room];
	const x = (v: number) => LEFT + ((v - from) / (to - from)) * (RIGHT - LEFT);
	const top = s.chosen === null ? 4 : 40;
	const foot = top + s.marks.length * ROW + 6;
	return (
		<figure class="drawing spread-drawing">
			<svg
				viewBox={`0 0 ${WIDE} ${foot + 40}`}
				role="img"
				aria-label={sizing.spreadSays(
					s.what,
					s.marks.map((m) => `${name(m)} ${worked(m.value, s.unit, u)}`),
				)}
			>
				{s.chosen !== null && (
					<Chosen
						x={x(s.chosen)}
						foot={foot}
						words={(isDecided ? sizing.decidedMark : sizing.takenMark)(length(s.chosen, u))}
					/>
				)}
				{s.marks.map((m, i) => {
					const y = top + i * ROW;
					return (
						<g
							key={`${m.rule} ${m.name}`}
							class={m.outside ? "spread-mark spread-not" : "spread-mark"}
							data-rule={m.rule}
						>
							<text x={LEFT} y={y + 18}>
								{name(m)}
							</text>
							<text x={RIGHT} y={y + 18} text-anchor="end" class="spread-value">
								{worked(m.value, s.unit, u)}
							</text>
							<path class="spread-row" d={`M${LEFT} ${y + 38}H${RIGHT}`} />
							{m.high > m.low && (
								<rect class="spread-bar" x={x(m.low)} y={y + 31} width={x(m.high) - x(m.low)} height="14" />
							)}
							<path class="spread-tick" d={`M${x(m.value)} ${y + 25}v26`} />
							<text x={LEFT} y={y + 69} class="spread-soft">
								{under(m, s, rules)}
							</text>
						</g>
					);
				})}
				<path class="axis spread-axis" d={`M${LEFT} ${foot}H${RIGHT}`} />
				<Scale from={from} to={to} x={x} y={foot} unit={s.unit} units={u} />
			</svg>
		</figure>
	);
}

// From where it counts, how sure it is, and why it is pale.
function under(m: SpreadMark, s: Spread, rules: Rule[]): string {
	const rule = rules.find((r) => r.id === m.rule);
	// the start of a length, or of those that a bore comes of
	const by = rule ? sizing.start(rule.start) : "";
	const start =
		m.moved && rule
			? sizing.moved(by)
			: s.start === "" && by !== ""
				? sizing.counts(by)
				: sizing.start(s.start);
	const why = m.outside ? sizing.notMeant(rule?.outside.join(", ") ?? "") : "";
	return [start, m.grade, why].filter((w) => w !== "").join(" · ");
}

interface ScaleProps {
	from: number;
	to: number;
	x: (v: number) => number;
	y: number;
	unit: string;
	units: Units;
}

function Scale({ from, to, x, y, unit, units: u }: ScaleProps) {
	const by = unit === "mm" && u === "in" ? 25.4 : 1; // 1 in = 25.4 mm by definition
	return (
		<g>
			{steps(from / by, to / by).map((v) => (
				<g key={v}>
					<path class="axis spread-axis" d={`M${x(v * by)} ${y - 5}v10`} />
					<text x={x(v * by)} y={y + 28} text-anchor="middle" class="spread-soft">
						{v}
					</text>
				</g>
			))}
		</g>
	);
}

function Chosen({ x, foot, words }: { x: number; foot: number; words: string }) {
	const half = words.length * HALF;
	const at = Math.min(Math.max(x, half + 4), WIDE - half - 4);
	return (
		<g class="scribe">
			<path class="spread-chosen" d={`M${x} 34V${foot}`} />
			<text x={at} y="24" text-anchor="middle">
				{words}
			</text>
		</g>
	);
}

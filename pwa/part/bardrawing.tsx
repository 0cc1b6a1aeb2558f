import { degrees, figure } from "../lib/say";
import { units } from "../lib/state";
import { cuts } from "../lib/textstock";
import type { CutStock, LaidPiece } from "../lib/typescuts";

interface BarDrawingProps {
	bar: CutStock;
	name: (piece: string) => string;
}

const WIDE = 700;
const HIGH = 64;

const SIGN = 9.5; // widest usual sign of a text, in the drawing's px

// <BarDrawing bar={…} name={…}> is one piece of stock rolled out straight from end A: every piece where it lies, in
// scale along the bend's angle or the length, what is left over hatched. A figure for which there is no room stands in
// the table alone.
// Props: bar, name (of a piece, as it is chalked on).  Calls: nothing.
export function BarDrawing({ bar, name }: BarDrawingProps) {
	const u = units.value;
	const at = (c: LaidPiece): [number, number] => [c.from?.angle ?? c.start ?? 0, c.to?.angle ?? c.end ?? 0];
	const isBend = bar.cuts.some((c) => c.from);
	const used = Math.max(0, ...bar.cuts.map((c) => at(c)[1]));
	const rest = bar.rest.reduce((sum, l) => sum + ((isBend ? l.angle : l.length) ?? 0), 0);
	const whole = used + rest || 1;
	const x = (v: number) => 20 + (v / whole) * (WIDE - 40);
	const say = (v: number) => (isBend ? degrees(v) : figure(v, u));
	const hasRoom = (s: string, from: number, to: number) => s.length * SIGN <= x(to) - x(from);
	return (
		<figure class="drawing">
			<svg
				viewBox={`0 0 ${WIDE} ${HIGH}`}
				class="bar"
				role="img"
				aria-label={bar.cuts.map((c) => name(c.piece)).join(", ")}
			>
				<rect class="bar-left" x={x(0)} y="8" width={x(whole) - x(0)} height="30" />
				<text x="4" y="29">
					A
				</text>
				{bar.cuts.map((c) => {
					const [from, to] = at(c);
					const called = `${name(c.piece)}${c.flipped ? " ↶" : ""}`;
					return (
						<g key={`${c.piece} ${c.set}`}>
							<rect class="bar-piece" x={x(from)} y="8" width={x(to) - x(from)} height="30" />
							{hasRoom(called, from, to) && (
								<text class="bar-name" x={(x(from) + x(to)) / 2} y="29" text-anchor="middle">
									{called}
								</text>
							)}
							{hasRoom(say(to - from), from, to) && (
								<text x={(x(from) + x(to)) / 2} y="58" text-anchor="middle">
									{say(to - from)}
								</text>
							)}
						</g>
					);
				})}
				{hasRoom(cuts.left(say(rest)), used, whole) && (
					<text x={(x(used) + x(whole)) / 2} y="58" text-anchor="middle">
						{cuts.left(say(rest))}
					</text>
				)}
			</svg>
		</figure>
	);
}

import { sheet } from "../lib/textsheet";
import { Dimension } from "./dimension";

interface RulerDrawingProps {
	asked: string;
	label: string;
}

const [X, Y, LONG] = [110, 262, 210];

// <RulerDrawing asked="across" label="100.1 mm"> shows the two rulers as they stand on every sheet, the one to
// measure scribed.
// Props: asked (across or up), label (what is typed of it).  Calls: nothing.
export function RulerDrawing({ asked, label }: RulerDrawingProps) {
	return (
		<figure class="drawing ruler-drawing">
			<svg viewBox="0 0 500 300" role="img" aria-label={sheet.check.drawing}>
				<path class="thin" d={`M${X - 60} 8h400v284h-400z`} />
				<path class="line" d={ticks((d) => [X + d, Y], [0, 1])} />
				<path class="line" d={ticks((d) => [X, Y - d], [-1, 0])} />
				{asked === "across" ? (
					<Dimension
						from={[X, Y - 36]}
						to={[X + LONG, Y - 36]}
						foot={[
							[X, Y],
							[X + LONG, Y],
						]}
						label={label}
					/>
				) : (
					<Dimension
						from={[X + 36, Y]}
						to={[X + 36, Y - LONG]}
						foot={[
							[X, Y],
							[X, Y - LONG],
						]}
						label={label}
					/>
				)}
			</svg>
		</figure>
	);
}

// A line with a mark every tenth of it, the first and last longer.
function ticks(at: (d: number) => number[], side: [number, number]): string {
	let d = `M${at(0)}L${at(LONG)}`;
	for (let i = 0; i <= 10; i++) {
		const long = i % 10 === 0 ? 26 : i === 5 ? 16 : 10;
		d += `M${at((i * LONG) / 10)}l${side[0] * long} ${side[1] * long}`;
	}
	return d;
}

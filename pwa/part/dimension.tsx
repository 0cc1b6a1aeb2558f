interface DimensionProps {
	from: [number, number];
	to: [number, number];
	label: string;
	/** where the thing itself is, when the line stands off it */
	foot?: [[number, number], [number, number]];
	below?: boolean;
	left?: boolean;
	/** where the label stands, when beside the line it would hide something */
	at?: [number, number];
}

const ARROW = 11;

// <Dimension from={[x, y]} to={[x, y]} label="x = 41.3 mm"> is the one scribed line of a drawing: the
// dimension that is asked. It is told from the rest by weight and arrows as well as by colour.
// Props: from, to (points of the screen), label, foot (two points that extension
// lines lead to), below (the label stands under a level line), left (left of an upright one), at (its place, else).
// Calls: nothing.
export function Dimension({ from, to, label, foot, below = false, left = false, at }: DimensionProps) {
	const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
	const long = Math.hypot(dx, dy);
	const [ux, uy] = long > 0 ? [dx / long, dy / long] : [1, 0];
	const upright = Math.abs(uy) > Math.abs(ux);
	const mid: [number, number] = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2];
	return (
		<g class="scribe">
			{foot?.map((f, i) => {
				const end = i === 0 ? from : to;
				return (
					<path
						key={`${f[0]},${f[1]},${end[0]}`}
						class="scribe-thin"
						d={`M${f[0]} ${f[1]}L${end[0]} ${end[1]}`}
					/>
				);
			})}
			<path d={`M${from[0]} ${from[1]}L${to[0]} ${to[1]}`} />
			{long > 2 * ARROW && <path d={`${arrow(to, ux, uy)}${arrow(from, -ux, -uy)}`} class="scribe-fill" />}
			{long <= 2 * ARROW && <circle cx={to[0]} cy={to[1]} r="5" class="scribe-fill" />}
			<text
				x={at ? at[0] : upright ? mid[0] + (left ? -12 : 12) : mid[0]}
				y={at ? at[1] : upright ? mid[1] + 7 : below ? mid[1] + 25 : mid[1] - 12}
				text-anchor={at || !upright ? "middle" : left ? "end" : "start"}
			>
				{label}
			</text>
		</g>
	);
}

function arrow(at: [number, number], ux: number, uy: number): string {
	const [bx, by] = [at[0] - ux * ARROW, at[1] - uy * ARROW];
	const [sx, sy] = [-uy * ARROW * 0.36, ux * ARROW * 0.36];
	return `M${at[0]} ${at[1]}L${bx + sx} ${by + sy}L${bx - sx} ${by - sy}Z`;
}

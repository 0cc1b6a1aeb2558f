import { asked } from "../lib/fields";
import { asRead, plain, type Units } from "../lib/say";
import { units } from "../lib/state";
import { bank as bankWords } from "../lib/textbank";
import { choose } from "../lib/textchoose";
import { Dimension } from "./dimension";
import { type BankLayout, bankLayout, bounds, type Trial } from "./layout";
import { box, extent, loopPath, outlinePath, turned } from "./outline";

interface BankDrawingProps {
	job: string;
	bank: string;
	trial?: Trial | null;
	tall?: boolean;
}

const WIDE = 760;
const EDGE = 74; // room for axes, marks and the dimension line

// <BankDrawing job={…} bank="A" trial={{ slot, mm }}> draws a bank as it is seen facing the port face: bolts,
// ports, datum and axes in thin lines, and the asked dimension scribed with the value being typed.
// Props: job, bank, trial (the asked slot and the value being typed, or null), tall.  Calls: nothing.
export function BankDrawing({ job, bank, trial = null, tall = false }: BankDrawingProps) {
	const l = bankLayout(job, bank, trial);
	const b = bounds(l);
	const most = tall ? 460 : 300;
	const scale = Math.min(
		(WIDE - 2 * EDGE) / Math.max(b.x1 - b.x0, 30),
		(most - 2 * EDGE) / Math.max(b.y1 - b.y0, 20),
		6,
	);
	const high = Math.max(190, Math.min(most, (b.y1 - b.y0) * scale + 2 * EDGE));
	const px = (x: number) => Math.round((WIDE / 2 + (x - (b.x0 + b.x1) / 2) * scale) * 10) / 10;
	const py = (y: number) => Math.round((high / 2 - (y - (b.y0 + b.y1) / 2) * scale) * 10) / 10;
	const empty = l.bolts.length === 0 && l.ports.length === 0;
	return (
		<figure class="drawing">
			<svg viewBox={`0 0 ${WIDE} ${high}`} role="img" aria-label={bankWords.drawing}>
				<Axes x={px(0)} y={py(0)} right={WIDE - 16} top={16} />
				{l.ports.map((p) => (
					<g key={p.id} class={classOf(p)}>
						<path
							class="line"
							d={
								p.loop.length > 0
									? loopPath(p.loop, ([x, y]) => [px(x), py(y)])
									: outlinePath(p.size, px(p.x), py(p.y), scale)
							}
						/>
						<path class="thin" d={`M${px(p.x) - 6} ${py(p.y)}h12M${px(p.x)} ${py(p.y) - 6}v12`} />
						<text x={px(p.x)} y={py(p.y) - 10} text-anchor="middle">
							{`P${p.n}${p.doubt ? ` ${DISPUTED}` : ""}`}
						</text>
					</g>
				))}
				{l.bolts.map((o) => (
					<g key={o.id} class={classOf(o)}>
						<circle class="line" cx={px(o.x)} cy={py(o.y)} r={Math.max((o.hole / 2) * scale, 4)} />
						{(o.id === l.datum || o.id === l.along) && (
							<circle class="thin" cx={px(o.x)} cy={py(o.y)} r={Math.max((o.hole / 2) * scale, 4) + 5} />
						)}
						<text
							x={px(o.x) + (px(o.x) > WIDE * 0.7 ? -1 : 1) * ((o.hole / 2) * scale + 8)}
							y={py(o.y) + 22}
							text-anchor={px(o.x) > WIDE * 0.7 ? "end" : "start"}
						>
							{`B${o.n}${o.doubt ? ` ${DISPUTED}` : ""}${o.id === l.datum ? ` ${bankWords.datumMark}` : o.id === l.along ? ` ${bankWords.alongMark}` : ""}`}
						</text>
					</g>
				))}
				{trial && <Asking l={l} trial={trial} px={px} py={py} scale={scale} view={units.value} />}
			</svg>
			<figcaption class="soft small">
				{empty ? bankWords.drawingEmpty : bankWords.frame}
				{[...l.ports, ...l.bolts].some((s) => s.doubt) && ` · ${DISPUTED} ${choose.doubt}`}
			</figcaption>
		</figure>
	);
}

const DISPUTED = "\u25d0";

const classOf = (spot: { guess: boolean; doubt: boolean }) =>
	spot.guess ? "guess" : spot.doubt ? "doubt" : "";

function Axes({ x, y, right, top }: { x: number; y: number; right: number; top: number }) {
	return (
		<g class="axes">
			<path d={`M${x - 24} ${y}H${right}m-9 -4l9 4l-9 4`} />
			<path d={`M${x} ${y + 24}V${top}m-4 9l4 -9l4 9`} />
			<text x={right - 4} y={y - 9} text-anchor="end">
				x
			</text>
			<text x={x - 18} y={top + 12}>
				y
			</text>
		</g>
	);
}

interface AskingProps {
	l: BankLayout;
	trial: Trial;
	px: (x: number) => number;
	py: (y: number) => number;
	scale: number;
	view: Units;
}

// The dimension that is asked, as a scribed line at the thing itself.
function Asking({ l, trial, px, py, scale, view: show }: AskingProps) {
	const ask = asked(trial.slot);
	if (!ask) return null;
	const name = ask.field.name;
	const label = trial.mm === null ? "?" : asRead(trial.mm, show);
	if (ask.kind === "bank") {
		return (
			<g class="scribe">
				{l.bolts.map((o) => (
					<circle key={o.id} cx={px(o.x)} cy={py(o.y)} r={Math.max((o.hole / 2) * scale, 4) + 9} />
				))}
			</g>
		);
	}
	const bolt = l.bolts.find((o) => o.id === ask.id);
	const port = l.ports.find((p) => p.id === ask.id);
	const spot = bolt ?? port;
	if (!spot) return null;
	const [cx, cy] = [px(spot.x), py(spot.y)];
	const [ox, oy] = [px(0), py(0)];
	if (name === "x") {
		const at = oy + 46;
		return (
			<Dimension
				from={[ox, at]}
				to={[cx, at]}
				foot={[
					[ox, oy],
					[cx, cy],
				]}
				below
				label={`x = ${label}`}
			/>
		);
	}
	if (name === "y") {
		const at = cx + (port ? Math.max(...box(port.size).map(([x]) => x)) * scale + 22 : 34);
		return (
			<Dimension
				from={[at, oy]}
				to={[at, cy]}
				foot={[
					[cx, oy],
					[cx, cy],
				]}
				label={`y = ${label}`}
			/>
		);
	}
	if (bolt && name === "hole") {
		const r = (bolt.hole / 2) * scale;
		const at = cy - r - 26;
		return (
			<Dimension
				from={[cx - r, at]}
				to={[cx + r, at]}
				foot={[
					[cx - r, cy],
					[cx + r, cy],
				]}
				label={`⌀ ${label}`}
			/>
		);
	}
	if (!port) return null;
	const e = extent(port.size);
	const { turn } = port.size;
	// a place of the outline, mm from its centre before it is turned, and some px off it
	const to = (x: number, y: number, offX = 0, offY = 0): [number, number] => {
		const [tx, ty] = turned(turn, [x * scale + offX, y * scale + offY]);
		return [cx + tx, cy - ty];
	};
	const below = Math.abs(turn % 360) < 90;
	// what lies within the outline is named above it, clear of the port's own name
	const above: [number, number] = [cx, cy - Math.max(...box(port.size).map(([, y]) => y)) * scale - 14];
	switch (name) {
		case "width":
		case "diameter":
			return (
				<Dimension
					from={to(-e.left, -e.half, 0, -26)}
					to={to(e.right, -e.half, 0, -26)}
					foot={[to(-e.left, 0), to(e.right, 0)]}
					below={below}
					label={(name === "diameter" ? "⌀ " : "") + label}
				/>
			);
		case "height":
			return (
				<Dimension
					from={to(e.right, -e.half, 24)}
					to={to(e.right, e.half, 24)}
					foot={[to(0, -e.half), to(0, e.half)]}
					label={label}
				/>
			);
		case "radius":
			return <Dimension from={[cx, cy]} to={to(e.right, 0)} at={above} label={`R ${label}`} />;
		case "flat":
			return <Dimension from={[cx, cy]} to={to(-e.left, 0)} at={above} label={label} />;
		case "corner": {
			const [x, y] = port.size.shape === "d" ? [-e.left, e.half * 0.7] : [e.right, e.half];
			const out = port.size.shape === "d" ? -1 : 1;
			return <Dimension from={to(x, y, out * 46, 34)} to={to(x, y, out * -3, -3)} label={`R ${label}`} />;
		}
		case "turn":
			return (
				<>
					<path class="axis" d={`M${cx} ${cy}H${cx + (e.right + 16) * scale}`} />
					<Dimension
						from={[cx, cy]}
						to={to(e.right + 14, 0)}
						at={above}
						label={trial.mm === null ? "?" : `${plain(trial.mm)}°`}
					/>
				</>
			);
		default:
			return (
				<g class="scribe">
					<path d={outlinePath(port.size, cx, cy, scale)} />
				</g>
			);
	}
}

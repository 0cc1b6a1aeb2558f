import type { Asked } from "../lib/fields";
import { listOf } from "../lib/state";
import { measure } from "../lib/textmeasure";
import { titleOf, word } from "./known";

/** Where the three axes of a frame point on the sheet: z toward the viewer for a bank, x for a car that faces him. */
const BANK = { x: [120, 0], y: [0, -95], z: [-80, 58] } as const;
const CAR = { x: [-80, 58], y: [120, 0], z: [0, -95] } as const;
const ORIGIN = [290, 115] as const;

/** axisOf is the axis that a field asks along; "" for a field that is no coordinate in a frame. */
export function axisOf(ask: Asked): "x" | "y" | "z" | "" {
	const axis = /^(?:[ab]|.*_)?([xyz])$/.exec(ask.field.name)?.[1] as "x" | "y" | "z" | undefined;
	const isFlat = ask.kind === "bolt" || ask.kind === "port" || ask.kind === "engine";
	return axis === undefined || isFlat || ask.field.name.startsWith("size_") ? "" : axis;
}

interface AxesDrawingProps {
	job: string;
	ask: Asked;
	label: string;
}

// <AxesDrawing job={…} ask={…} label="41.3 mm"> shows the frame that a coordinate is measured in, with the axis that is
// asked; it says in words where each axis points.
// Props: job, ask (a field for which axisOf says an axis), label (the value as far as it is typed, or "?").
// Calls: nothing.
export function AxesDrawing({ job, ask, label }: AxesDrawingProps) {
	const frame = frameOf(job, ask);
	const isCar = frame === "car";
	const words = isCar ? measure.frames.car : measure.frames.bank;
	const axes = isCar ? CAR : BANK;
	const asked = axisOf(ask);
	const [ox, oy] = ORIGIN;
	return (
		<figure class="drawing frame-drawing">
			<svg viewBox="0 0 690 208" role="img" aria-label={ask.field.label}>
				{(["x", "y", "z"] as const).map((a) => {
					const [dx, dy] = axes[a];
					const [ex, ey] = [ox + dx, oy + dy];
					const say = a === asked ? `${a} = ${label}, ${words[a]}` : `${a} ${words[a]}`;
					return (
						<g key={a} class={a === asked ? "scribe" : ""}>
							<path class={a === asked ? "" : "thin"} d={`M${ox} ${oy}L${ex} ${ey}${tip(dx, dy)}`} />
							{dx < 0 && a === asked ? (
								<text x="8" y={ey + 26}>
									{say}
								</text>
							) : (
								<text
									x={dx < 0 ? ex - 10 : ex + 10}
									y={dy < 0 ? ey + 6 : dy > 0 ? ey + 20 : ey + 7}
									text-anchor={dx < 0 ? "end" : "start"}
								>
									{say}
								</text>
							)}
						</g>
					);
				})}
				<circle class="dot" cx={ox} cy={oy} r="5" />
			</svg>
			<figcaption class="soft small">
				{isCar ? measure.frames.car.of() : measure.frames.bank.of(titleOf(job, "bank", frame))}
			</figcaption>
		</figure>
	);
}

// the arrow at the end of a line, drawn on from there
function tip(dx: number, dy: number): string {
	const long = Math.hypot(dx, dy);
	const [ux, uy] = [(dx / long) * 12, (dy / long) * 12];
	const [ox, oy] = ORIGIN;
	return `m${-ux - uy / 2} ${-uy + ux / 2}L${ox + dx} ${oy + dy}l${-ux + uy / 2} ${-uy - ux / 2}`;
}

// frameOf is the frame that a place is entered in: that which it or its owner names, a tie's two, a tube's own bank.
function frameOf(job: string, ask: Asked): string {
	const first = listOf(job, "bank")[0]?.id ?? "";
	const up = (kind: string, id: string) => listOf(job, kind).find((e) => e.id === id)?.parent ?? "";
	switch (ask.kind) {
		case "tie":
			return word(job, `tie/${ask.id}/${ask.field.name.charAt(0)}`) || first;
		case "plug":
			return up("plug", ask.id) || first;
		case "mark":
		case "crook": {
			const port = word(job, `tube/${up(ask.kind, ask.id)}/port`);
			return up("port", port) || first;
		}
		case "corner":
			return word(job, `neighbour/${up("part", up("corner", ask.id))}/frame`) || first;
		case "part":
			return word(job, `neighbour/${up("part", ask.id)}/frame`) || first;
		default:
			return word(job, `${ask.kind}/${ask.id}/frame`) || first;
	}
}

import { useState } from "preact/hooks";
import { used } from "../lib/fields";
import { FIT, fittedFields, shiftOf } from "../lib/fit";
import { degrees, length, notSaved, plain } from "../lib/say";
import { keepTogether, listOf, type PlanFit, readingsOf, retract, units } from "../lib/state";
import { flange } from "../lib/textflange";
import { known } from "./known";
import { planOf } from "./rimdrawing";
import { offerUndo } from "./undo";

const FIELDS = ["shape", "width", "height", "corner", "diameter", "radius", "flat", "turn", "x", "y"];

// <FitOffer job={…} port="p3"> says which shape the measured points of a port may be, and how far off; a person
// takes it, or goes back from it to the points. Neither loses the other. Nothing where there is nothing to say.
// Props: job, port.  Calls: keepTogether, retract.
export function FitOffer({ job, port }: { job: string; port: string }) {
	const [fault, setFault] = useState("");
	const t = flange.fit;
	const plan = planOf(job, port);
	const fit = plan?.fit;
	const fitted = FIELDS.flatMap((f) =>
		readingsOf(job, `port/${port}/${f}`).filter((r) => r.standing === "head" && r.tool === FIT),
	);
	const isFitted = fitted.some((r) => r.unit === "word") && listOf(job, "rim", port).length > 0;
	const act = (said: string, what: () => Promise<() => Promise<void>>) => () => {
		setFault("");
		what().then(
			(undo) => offerUndo(said, undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	const use = (of: PlanFit) => keepTogether(job, fittedFields(port, plan?.at ?? null, of));
	const back = async () => {
		const taken = await retract(
			job,
			fitted.map((r) => r.id),
		);
		return async () => {
			await retract(job, taken);
		};
	};
	if (!isFitted && !fit) return null;
	return (
		<section class="card stack" data-test={`fit:${port}`}>
			{isFitted ? (
				<>
					<p data-test="fit-in-use">{t.using(shapeOf(job, port))}</p>
					<button type="button" data-test="fit-back" onClick={act(t.gone, back)}>
						{t.back}
					</button>
				</>
			) : (
				fit && (
					<>
						<p data-test="fit-say">
							<strong>{t.offer(shapeIn(fit), length(fit.worst, units.value))}</strong>{" "}
							{t.worstAt(fit.worst_at)}{" "}
							{shiftOf(fit) && t.shift(length(Math.hypot(...fit.shift), units.value))}
						</p>
						<div class="row">
							<span class="soft grow">{t.both}</span>
							<button type="button" class="primary" data-test="fit-use" onClick={act(t.kept, () => use(fit))}>
								{t.use}
							</button>
						</div>
					</>
				)
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</section>
	);
}

// "a rectangle 38 mm × 35 mm, corner 9 mm, turned by 2.0°"
function shapeIn(fit: PlanFit): string {
	const say = (name: string) => {
		const v = (fit as unknown as Record<string, number | undefined>)[name];
		return length(v, units.value);
	};
	const words = flange.fit.shapes[fit.shape]?.(say) ?? fit.shape;
	const turn = fit.shape === "round" || Math.abs(fit.turn) < 0.05 ? "" : flange.fit.turned(degrees(fit.turn));
	return words + turn;
}

function shapeOf(job: string, port: string): string {
	const of = (f: string) => used(known(job, `port/${port}/${f}`));
	const shape = of("shape")?.text ?? "";
	const say = (name: string) => length((of(name)?.nm ?? Number.NaN) / 1e6, units.value);
	const turn = (of("turn")?.udeg ?? 0) / 1e6;
	const words = flange.fit.shapes[shape]?.(say) ?? shape;
	return words + (turn === 0 || shape === "round" ? "" : flange.fit.turned(`${plain(turn)}°`));
}

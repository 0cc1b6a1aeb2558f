import { fraction, length, offset } from "../lib/say";
import { units } from "../lib/state";
import { measure } from "../lib/textmeasure";
import { result, tubes } from "../lib/texttube";
import type { PlanTube } from "../lib/typesplan";
import { Mark } from "./mark";

interface LengthLineProps {
	id: string;
	plan: PlanTube | undefined;
}

// <LengthLine id="t1" plan={…}> says the length of a tube, from where it counts, the target with its
// tolerance and how far off it is; low to high where readings disagree.
// Props: id, plan.  Calls: nothing.
export function LengthLine({ id, plan }: LengthLineProps) {
	const u = units.value;
	const has = typeof plan?.length === "number";
	const hasSpread = typeof plan?.low === "number" && typeof plan?.high === "number";
	const off = plan?.deviation;
	const isGood =
		typeof off === "number" && typeof plan?.tolerance === "number" && Math.abs(off) <= plan.tolerance;
	return (
		<dl class="length-line">
			<div class="big">
				<dt>
					{tubes.length}
					{has && plan?.from ? `, ${result.from[plan.from] ?? plan.from}` : ""}
				</dt>
				<dd class="row" data-test={`tube-length:${id}`} data-mm={has ? plan?.length : undefined}>
					{(plan?.disputed.length ?? 0) > 0 && <Mark kind="disputed" />}
					{has ? length(plan?.length, u) : tubes.noLength}
				</dd>
				{has && u === "in" && <dd class="soft small">{measure.nearest(fraction(plan?.length))}</dd>}
			</div>
			{typeof plan?.target === "number" && (
				<div>
					<dt>{tubes.target}</dt>
					<dd>
						{length(plan.target, u)}
						{typeof plan.tolerance === "number" && <span class="soft"> ± {length(plan.tolerance, u)}</span>}
					</dd>
				</div>
			)}
			{typeof off === "number" && (
				<div>
					<dt>{tubes.deviation}</dt>
					<dd class="row">
						<Mark kind={isGood ? "agreed" : "warn"} />
						{offset(off, u)}
						<span class="soft small">{isGood ? result.within : result.outside}</span>
					</dd>
				</div>
			)}
			{hasSpread && (
				<div class="spread">
					<dt>{result.disputed}</dt>
					<dd class="row">
						<Mark kind="disputed" />
						{`${length(plan?.low, u)} – ${length(plan?.high, u)}`}
					</dd>
				</div>
			)}
		</dl>
	);
}

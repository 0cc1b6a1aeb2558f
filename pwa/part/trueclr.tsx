import { used } from "../lib/fields";
import { length } from "../lib/say";
import { units, view } from "../lib/state";
import { stock } from "../lib/textstock";
import { known } from "./known";
import { Mark } from "./mark";

// <TrueCLR job={…} id={…}> is what was measured across the legs of a stock bend, as the CLR that it comes to; nothing
// while nothing was measured.
// Props: job, id (of the item).  Calls: nothing.
export function TrueCLR({ job, id }: { job: string; id: string }) {
	const measured = view.value?.plan.stock?.find((s) => s.id === id)?.true_clr;
	if (typeof measured !== "number") return null;
	const u = units.value;
	const sold = used(known(job, `stock/${id}/clr`))?.nm;
	return (
		<p class="card row" data-test="true-clr">
			<Mark kind="note" />
			<span>{stock.trueCLR(length(measured, u), sold === undefined ? "" : length(sold / 1e6, u))}</span>
		</p>
	);
}

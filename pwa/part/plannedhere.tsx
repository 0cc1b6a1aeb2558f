import { inspects, momentOf } from "../lib/inspect";
import { asRead, length } from "../lib/say";
import { units, view } from "../lib/state";
import { inspect } from "../lib/textinspect";
import { known, word } from "./known";

// <PlannedHere job={…} slot="tube/t1/length_welded"> says beside the keypad what was planned, so that a person sees at once
// what comes out otherwise. It takes no room where nothing was planned.
// Props: job, slot.  Calls: nothing.
export function PlannedHere({ job, slot }: { job: string; slot: string }) {
	const says = inspects(slot) ? plannedSays(job, slot) : "";
	return says === "" ? null : (
		<strong class="planned-here" data-test="planned-here">
			{says}
		</strong>
	);
}

const FLAT_MM = { flat_: 0.254, flat_pair_: 0.127 };

function plannedSays(job: string, slot: string): string {
	const [kind = "", id = "", name = ""] = slot.split("/");
	const u = units.value;
	if (kind === "tube") {
		const planned = view.value?.plan.tubes?.find((t) => t.id === id)?.centreline;
		return typeof planned === "number" ? inspect.plannedHere(length(planned, u)) : "";
	}
	if (kind === "bank") {
		const at = momentOf(slot, (s) => word(job, s));
		return inspect.flatHere(asRead(name === `flat_${at}` ? FLAT_MM.flat_ : FLAT_MM.flat_pair_, u));
	}
	const axis = /^(?:tacked|welded)_([xyz])$/.exec(name)?.[1];
	const nm = kind === "collector" && axis ? known(job, `collector/${id}/at_${axis}`).heads[0]?.nm : undefined;
	return nm === undefined ? "" : inspect.plannedHere(length(nm / 1e6, u));
}

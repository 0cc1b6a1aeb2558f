import { inspects, momentOf } from "../lib/inspect";
import type { Route } from "../lib/state";
import { word } from "./known";

// From which gap a field was opened last, to lead back to it.
let from: Route | null = null;

/** openedFromInspection remembers which of the pages was looked at last. */
export function openedFromInspection(page: Route): void {
	from = page;
}

/** inspectWay leads back to the page of the inspection on which a slot stands; null for slots of others. */
export function inspectWay(job: string, slot: string): Route | null {
	if (!inspects(slot)) return null;
	if (slot.startsWith("gauge/") && from?.job === job && from.screen === "gap") return from;
	const s = (field: string) => word(job, field);
	return { screen: "inspect", job, id: momentOf(slot, s) };
}

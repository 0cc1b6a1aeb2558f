import type { Route } from "../lib/state";

// From which of the weld plan's pages a field was opened last, to lead back to it.
let from: Route | null = null;

/** openedFromWeld remembers which of the pages was looked at last. */
export function openedFromWeld(page: Route): void {
	from = page;
}

/** weldWay leads back to the page of the weld plan from which a slot was opened; null for slots of others. */
export function weldWay(job: string, slot: string): Route | null {
	const kind = slot.split("/")[0] ?? "";
	if (kind !== "weld" && kind !== "hold") return null;
	return from?.job === job ? from : { screen: "weld", job, id: kind === "hold" ? "holds" : "order" };
}

import type { Route } from "../lib/state";

// From which of the fixture's pages a field was opened last, to lead back to it.
let from: Route | null = null;

/** openedFromFixture remembers which of the pages was looked at last. */
export function openedFromFixture(page: Route): void {
	from = page;
}

/** fixtureWay leads back to the fixture's page from which a slot was opened; null for slots of others. */
export function fixtureWay(job: string, slot: string): Route | null {
	const [kind, id = ""] = slot.split("/");
	if (kind !== "fixture" && kind !== "station") return null;
	if (from?.job === job) return from;
	return kind === "station" ? { screen: "station", job, id } : { screen: "fixture", job, id: "base" };
}

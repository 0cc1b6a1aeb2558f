import type { Route } from "../lib/state";

// From which part of the sizing pages a field was opened last, to lead back to it: engine data
// and target stand on the page of intake too.
let from: { job: string; part: string } | null = null;

/** openedFromSizing remembers which part was looked at last; leftSizing that it was left for another page with the same fields. */
export function openedFromSizing(job: string, part: string): void {
	from = { job, part };
}

/** leftSizing forgets it. */
export function leftSizing(): void {
	from = null;
}

const KINDS = ["engine", "target", "sizing", "slip", "sensor"];

/** sizingWay leads back to the part of the sizing pages from which a slot was opened; null where it was opened elsewhere. */
export function sizingWay(job: string, slot: string): Route | null {
	const kind = slot.split("/")[0] ?? "";
	if (!KINDS.includes(kind)) return null;
	if (from?.job === job) return { screen: "sizing", job, id: from.part };
	if (kind === "sizing") return { screen: "sizing", job, id: "rules" };
	return kind === "slip" || kind === "sensor" ? { screen: "sizing", job, id: "fits" } : null;
}

/** staysAt tells whether a slot was opened from among rules, where no other is asked for next. */
export const staysAt = (job: string): boolean =>
	from?.job === job && from.part !== "engine" && from.part !== "fits";

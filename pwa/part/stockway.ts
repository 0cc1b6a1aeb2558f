import { type Route, SHOP } from "../lib/state";

// The job from which the stock was opened last, to lead back to: what the shop cuts from is no job's.
let from = SHOP;

/** openedFrom remembers from which job the stock was opened; the shop's own is none. */
export function openedFrom(job: string): void {
	if (job !== SHOP) from = job;
}

/** stockWay is the way to the stock, as it was opened last. */
export const stockWay = (): Route => ({ screen: "stock", job: from });

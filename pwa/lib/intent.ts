// A photo that was begun: noted on the disk before the camera opens, because
// some systems throw the app away meanwhile. At the next start it leads back.

import { signal } from "@preact/signals";
import { running } from "./core";
import { isSpent } from "./pictures";
import { isRoute } from "./route";
import type { Route } from "./typesapp";

export interface Intent {
	job: string;
	slot: string; // what the photo shows
	of: string; // name of the open form, "" when there is none
	route: Route; // of the page it was begun on
}

/** The photo that was begun and not finished; null when there is none. */
export const photoIntent = signal<Intent | null>(null);

/** restore takes up what an earlier run of the app noted. */
export function restore(noted: unknown): void {
	photoIntent.value = isIntent(noted) ? noted : null;
}

/** beginPhoto resolves when the intent is on the disk. */
export async function beginPhoto(intent: Intent): Promise<void> {
	await running().env.store.putMeta({ intent });
	photoIntent.value = intent;
}

/** endPhoto is for when the picture came, or the person said that none will. */
export async function endPhoto(): Promise<void> {
	photoIntent.value = null;
	await running().env.store.putMeta({ intent: null });
}

/** begunFor is the name that the form of a slot goes on with, since a photo was begun on it; "" for none. */
export function begunFor(job: string, slot: string): string {
	const i = photoIntent.peek();
	return i?.job === job && i.slot === slot && !isSpent(running().held.slot(job, slot), i.of) ? i.of : "";
}

function isIntent(v: unknown): v is Intent {
	if (typeof v !== "object" || v === null) return false;
	const { job, slot, of, route } = v as Record<string, unknown>;
	return typeof job === "string" && typeof slot === "string" && typeof of === "string" && isRoute(route);
}

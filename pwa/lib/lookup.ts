// Whether this browser's second way of looking names up finds the shop's at all:
// tried once while the shop is heard, and kept for the day on which it is not.

import { running } from "./core";
import { browserSight, finds, type Reach, reach } from "./reach";

let isTried = false; // by this page

/** proveLookup is called when the shop is heard. */
export async function proveLookup(): Promise<void> {
	if (isTried) return;
	isTried = true;
	const { store } = running().env;
	if ((await store.meta()).lookup === true) return;
	await store.putMeta({ lookup: await finds(browserSight(true)) });
}

/** whyNot finds out why the shop is not reached. */
export async function whyNot(): Promise<Reach> {
	const meta = await running()
		.env.store.meta()
		.catch(() => null);
	return reach(browserSight(meta?.lookup === true));
}

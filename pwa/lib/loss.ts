// Records that were on this tablet and are gone: told in one sentence, and
// fetched again from the shop as far as it has them.

import { running, setStatus, status } from "./core";
import { START } from "./store";
import type { Stored } from "./types";

const missing = new Set<string>();

/** missed takes the ids that are on the roll and not held, before the sync starts: the shop's log is read from its start again. */
export async function missed(ids: string[]): Promise<void> {
	for (const id of ids) missing.add(id);
	if (missing.size === 0) return;
	await running().env.store.putMeta({ ...START });
	setStatus({ lost: { gone: missing.size, back: 0, isLooking: true } });
}

/** found takes note of records that came from the shop. */
export function found(records: Stored[]): void {
	const { lost } = status.peek();
	if (!lost) return;
	const back = records.filter((r) => missing.delete(r.id)).length;
	if (back > 0) setStatus({ lost: { ...lost, gone: missing.size, back: lost.back + back } });
}

/** looked is called when the shop's log is read to its end. */
export function looked(): void {
	const { lost } = status.peek();
	if (lost?.isLooking) setStatus({ lost: { ...lost, isLooking: false } });
}

/** seenLoss is the person's word that they know; what is still gone is not told again. */
export async function seenLoss(): Promise<void> {
	const gone = [...missing];
	try {
		await running().env.struck(gone); // before the notice goes, so that it is not told again
	} finally {
		for (const id of gone) missing.delete(id);
		if (missing.size === 0) setStatus({ lost: null });
	}
}

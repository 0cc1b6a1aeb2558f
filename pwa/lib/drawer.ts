// What draws: sheets, and drawings that are read in. It comes in one file with what takes
// long, behind the first load, but runs in a worker of its own, so that no sheet waits
// behind a search.

import type { Ask } from "./answers";
import { NotHere } from "./calc";
import { longText } from "./textlong";

let drawer: Ask | null = null;

/** startDrawer puts what draws to work, once. */
export function startDrawer(ask: Ask): void {
	drawer ??= ask;
}

/** askDrawer asks what draws. It rejects with Superseded or with a sentence. */
export async function askDrawer(kind: string, question: object): Promise<string> {
	if (!drawer) throw new Error("what draws is not started");
	try {
		return await drawer(kind, question);
	} catch (err) {
		throw err instanceof NotHere ? new Error(longText.away) : err;
	}
}

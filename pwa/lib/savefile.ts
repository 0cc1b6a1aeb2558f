// What a file of everything is made from. It works while the storage does not:
// what is in memory goes in, the typed texts and unkept readings too.

import type { Contents } from "./archive";
import { deviceName, running } from "./core";
import { inTime } from "./request";
import { fileName } from "./say";
import type { Stored } from "./types";

const STORAGE_MS = 5_000; // a storage that does not answer is left out

export interface SavedFile {
	file: File;
	contents: Contents;
}

/** saveFile makes the file. It rejects when nothing at all could be made. */
export async function saveFile(): Promise<SavedFile> {
	const { env, held, writer, drafts, clock } = running();
	const records = new Map<string, Stored>();
	for (const r of await inTime(STORAGE_MS, env.store.records(), [])) records.set(r.id, r);
	for (const r of held.all()) records.set(r.id, r);
	for (const r of writer.unkept.values()) records.set(r.id, r);
	const { blobOf } = await import("./archive");
	const { blob, contents } = await blobOf({
		by: clock.dev,
		name: deviceName.peek(),
		madeMS: Math.floor(env.now()),
		records: [...records.values()],
		drafts: drafts.all(),
		photos: await inTime(STORAGE_MS, env.store.photoRows(), []),
		chunk: (sha, i) => env.store.chunk(sha, i),
	});
	return { file: new File([blob], nameOf(deviceName.peek(), env.now()), { type: blob.type }), contents };
}

// nameOf is the file's name: "Bench-2-2027-04-01.tubewright.zip".
function nameOf(tablet: string, now: number): string {
	return `${fileName(tablet, "tablet")}-${new Date(now).toISOString().slice(0, 10)}.tubewright.zip`;
}

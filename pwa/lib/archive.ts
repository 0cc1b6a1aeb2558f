// Everything this tablet holds as one file, for the day on which the shop cannot
// be reached any more, or the storage does not write. The format is described
// in store/ARCHIVE.md. Loaded when it is asked for.

import { Zip, ZipPassThrough } from "fflate";
import type { PhotoRow } from "./store";
import type { Draft } from "./typesapp";

const BATCH_BYTES = 4_194_304; // handed to the browser as one Blob, which it may put on the disk
const LINES = 1_000; // of records in one piece

/** What goes into the archive. */
export interface Holdings {
	by: string; // this tablet's device id
	name: string; // what it is called
	madeMS: number;
	records: { raw: string; h: string }[];
	drafts: Draft[];
	photos: PhotoRow[];
	chunk(sha: string, i: number): Promise<ArrayBuffer | null>;
}

/** What the file holds, and photos whose bytes could not be read. */
export interface Contents {
	records: number;
	photos: number;
	drafts: number;
	unread: number;
}

const SUFFIX: Record<string, string> = { "image/jpeg": "jpg", "image/png": "png", "image/webp": "webp" };

/** archive writes the file piece by piece; at no time is more than one photo in memory. */
export async function archive(h: Holdings, write: (bytes: Uint8Array) => void): Promise<Contents> {
	let failed: Error | null = null;
	const zip = new Zip((err, bytes) => {
		if (err) failed = err;
		else write(bytes);
	});
	const photos = await held(h);
	const head = {
		tubewright_archive: 1,
		made_ms: h.madeMS,
		by: h.by,
		name: h.name,
		records: h.records.length,
		photos: photos.length,
		drafts: h.drafts.length,
	};
	put(zip, "tubewright.json", [`${JSON.stringify(head)}\n`]);
	put(
		zip,
		"hashes.txt",
		lines(h.records, (r) => r.h),
	);
	put(
		zip,
		"records.jsonl",
		lines(h.records, (r) => JSON.stringify(r.raw)),
	);
	let unread = h.photos.length - photos.length;
	for (const row of photos) {
		const bytes = await whole(row, h);
		if (bytes) put(zip, `photos/${row.sha}.${SUFFIX[row.type]}`, bytes);
		else unread++;
		if (failed) throw failed;
	}
	put(
		zip,
		"drafts.jsonl",
		lines(h.drafts, ({ key, text, id, at }) => JSON.stringify({ key, text, id, at })),
	);
	zip.end();
	if (failed) throw failed;
	return {
		records: head.records,
		photos: h.photos.length - unread,
		drafts: head.drafts,
		unread,
	};
}

/** blobOf gathers what archive writes in batches, so that it does not all lie in the page's memory. */
export async function blobOf(h: Holdings): Promise<{ blob: Blob; contents: Contents }> {
	const batches: Blob[] = [];
	let batch: BlobPart[] = [];
	let size = 0;
	const close = () => {
		batches.push(new Blob(batch));
		batch = [];
		size = 0;
	};
	const contents = await archive(h, (bytes) => {
		batch.push(bytes as Uint8Array<ArrayBuffer>);
		size += bytes.length;
		if (size > BATCH_BYTES) close();
	});
	close();
	return { blob: new Blob(batches, { type: "application/zip" }), contents };
}

// held are the photos whose bytes are here; those the shop has are let go at times.
async function held(h: Holdings): Promise<PhotoRow[]> {
	const found: PhotoRow[] = [];
	for (const row of h.photos) {
		if (row.type in SUFFIX && (await h.chunk(row.sha, 0).catch(() => null))) found.push(row);
	}
	return found;
}

async function whole(row: PhotoRow, h: Holdings): Promise<Uint8Array[] | null> {
	const chunks: Uint8Array[] = [];
	for (let i = 0; i < row.chunks.length; i++) {
		const bytes = await h.chunk(row.sha, i).catch(() => null);
		if (!bytes) return null;
		chunks.push(new Uint8Array(bytes));
	}
	return chunks;
}

// lines writes one line for each item, in pieces.
function* lines<T>(items: T[], line: (item: T) => string): Generator<string> {
	for (let at = 0; at < items.length; at += LINES) {
		yield items
			.slice(at, at + LINES)
			.map((item) => `${line(item)}\n`)
			.join("");
	}
}

// put adds a stored entry: what is in it is small, packed already, or easier to rescue unpacked.
function put(zip: Zip, name: string, pieces: Iterable<string | Uint8Array>): void {
	const entry = new ZipPassThrough(name);
	zip.add(entry);
	const encoder = new TextEncoder();
	for (const piece of pieces) entry.push(typeof piece === "string" ? encoder.encode(piece) : piece);
	entry.push(new Uint8Array(0), true);
}

// Claims about photos, for a page in a real browser. The server of the test has
// the pictures: upright each is 4:3 with a red square whose middle lies at a
// quarter of the width and a tenth of the height.

import { Database } from "../db";
import { head, isWhole } from "../jpeg";
import { hold, newID, sha256 } from "../record";
import { type Picture, reduce } from "../reduce";
import type { PhotoRow } from "../store";
import { claim, holds, refused, report, same } from "./claim";

const file = async (name: string): Promise<Blob> => {
	const res = await fetch(`/${name}`);
	if (!res.ok) throw new Error(`${name}: ${res.status}`);
	return res.blob();
};

// colours reads some places of a picture as the engine shows it.
async function colours(bytes: BlobPart, at: [number, number][]): Promise<number[][]> {
	const bitmap = await createImageBitmap(new Blob([bytes], { type: "image/jpeg" }));
	const canvas = Object.assign(document.createElement("canvas"), {
		width: bitmap.width,
		height: bitmap.height,
	});
	const pen = canvas.getContext("2d") as CanvasRenderingContext2D;
	pen.drawImage(bitmap, 0, 0);
	bitmap.close();
	return at.map(([x, y]) => [
		...pen.getImageData(x * canvas.width, y * canvas.height, 1, 1).data.slice(0, 3),
	]);
}

const isRed = ([r = 0, g = 0, b = 0]: number[] = []) => r > 150 && g < 100 && b < 100;

async function isUpright(p: Picture, what: string): Promise<void> {
	const [there, ...elsewhere] = await colours(p.bytes, [
		[0.25, 0.1],
		[0.75, 0.1],
		[0.25, 0.9],
		[0.75, 0.9],
		[0.1, 0.25],
		[0.9, 0.75],
	]);
	holds(isRed(there), `${what}: at 0.25, 0.1 there is ${there}`);
	holds(!elsewhere.some(isRed), `${what}: red elsewhere, ${elsewhere.join(" | ")}`);
}

const figures: Record<string, number> = {};

// Loaded again with what was stored, the page only looks for that.
const stored = new URLSearchParams(location.search).get("stored");
if (stored === null) pictures();

function pictures(): void {
	claim("PH4: whatever way round a picture is stored, it becomes upright once", async () => {
		for (let turn = 1; turn <= 8; turn++) {
			for (const name of [`turn-${turn}.jpg`, `turn-${turn}-little.jpg`]) {
				const r = await reduce(await file(name));
				same([r.turn, r.photo.w, r.photo.h], [1, 320, 240], name);
				same(
					head(r.photo.bytes),
					{ type: "image/jpeg", w: 320, h: 240, turn: 1, place: false, taken: "" },
					name,
				);
				await isUpright(r.photo, name);
				if (r.preview) await isUpright(r.preview, `preview of ${name}`);
			}
		}
	});

	claim("PH2: ten pictures of 24 megapixels in a row become ten photos of the right size", async () => {
		const large = await Promise.all([file("large-1.jpg"), file("large-6.jpg")]);
		for (let i = 0; i < 10; i++) {
			const start = performance.now();
			const r = await reduce(large[i % 2] as Blob);
			figures.reduce_ms = (figures.reduce_ms ?? 0) + (performance.now() - start) / 10;
			same([r.turn, r.photo.w, r.photo.h], [1, 2560, 1920], `photo ${i}`);
			same(r.taken, "", `photo ${i}`);
			same([r.preview?.w, r.preview?.h], [320, 240], `photo ${i}`);
			holds((r.preview?.bytes.length ?? 0) <= 40_960, `preview of ${r.preview?.bytes.length} bytes`);
			figures.photo_kB = r.photo.bytes.length / 1000;
			figures.preview_kB = (r.preview?.bytes.length ?? 0) / 1000;
			await isUpright(r.photo, `photo ${i}`);
		}
	});

	claim("a photo is cut into chunks that have its hash together and their own apart", async () => {
		const { photo } = await reduce(await file("large-1.jpg"));
		same(await sha256(new Uint8Array(await new Blob(photo.chunks).arrayBuffer())), photo.sha);
		same(await Promise.all(photo.chunks.map(sha256)), photo.names);
		holds(
			photo.chunks.every((c, i) =>
				i < photo.chunks.length - 1 ? c.byteLength === 262_144 : c.byteLength <= 262_144,
			),
			"a chunk of another size",
		);
	});

	claim("the camera's own time is kept, the place is not", async () => {
		const r = await reduce(await file("gps.jpg"));
		same([r.taken, head(r.photo.bytes).place], ["2025-11-24T23:04:01", false]);
	});

	claim(
		"PH2: what cannot be reduced is kept as it is, without what is beside it and with its turn",
		async () => {
			const real = globalThis.createImageBitmap;
			globalThis.createImageBitmap = () => Promise.reject(new Error("made to fail"));
			try {
				const r = await reduce(await file("gps.jpg"));
				same([r.turn, r.photo.w, r.photo.h, r.preview], [6, 240, 320, null]);
				same(head(r.photo.bytes).place, false);
				holds(isWhole(r.photo.bytes), "it is cut off");
				const why = async (name: string) =>
					(await refused(reduce(await file(name)))) as Error & { why: string };
				same((await why("heic.jpg")).why, "heic");
				same((await why("page.jpg")).why, "type");
				same((await why("truncated.jpg")).why, "broken");
				same((await why("huge.jpg")).why, "large");
			} finally {
				globalThis.createImageBitmap = real;
			}
		},
	);

	claim("a picture that is cut off is drawn as far as it goes, or refused; never kept so", async () => {
		const r = await reduce(await file("truncated.jpg")).catch((err: { why?: string }) => err);
		if ("photo" in r) holds(isWhole(r.photo.bytes), "it is cut off");
		else same((r as { why?: string }).why, "broken");
	});
}

claim("ST5: a photo of 12 MB is there byte for byte after the page was loaded again", async () => {
	const db = new Database(
		() => indexedDB,
		() => {},
	);
	const sha = stored ?? (await store12(db));
	const row = (await db.photoRows()).find((r) => r.sha === sha);
	holds(row !== undefined, "its row is not there");
	const chunks = await Promise.all((row?.chunks ?? []).map((_, i) => db.chunk(sha, i)));
	holds(
		chunks.every((c) => c instanceof ArrayBuffer),
		"a chunk is not there",
	);
	const bytes = new Uint8Array(await new Blob(chunks as ArrayBuffer[]).arrayBuffer());
	same([bytes.length, await sha256(bytes)], [12_000_000, sha]);
	Object.assign(globalThis, { stored: sha });
});

async function store12(db: Database): Promise<string> {
	const bytes = new Uint8Array(12_000_000);
	for (let i = 0; i < bytes.length; i += 65_536) crypto.getRandomValues(bytes.subarray(i, i + 65_536));
	const chunks: ArrayBuffer[] = [];
	for (let i = 0; i < bytes.length; i += 262_144) chunks.push(bytes.slice(i, i + 262_144).buffer);
	const sha = await sha256(bytes);
	const row: PhotoRow = {
		...{ sha, of: "", job: "j", type: "image/jpeg", size: bytes.length, w: 4000, h: 3000 },
		...{ chunks: await Promise.all(chunks.map(sha256)), state: "held", at: 1 },
	};
	const id = newID();
	const raw = JSON.stringify({ id, dev: "d", kind: "photo", job: "j", slot: "s", hlc: "", body: { sha } });
	await db.keep({
		records: [await hold(raw, null)],
		photos: [{ row, chunks }],
		at: 1,
		drop: [],
		meta: { n: 1 },
	});
	return sha;
}

await report();
Object.assign(globalThis, { figures });

// From a file of the camera to a photo: upright, at most 2560 px, without what
// the camera wrote beside it, with a small preview. Memory is short on a tablet:
// one at a time, and every large thing is let go as soon as it was used.
//
// The turn is read by our own code and taken out of the file before any engine
// sees it, so that no engine can apply it a second time. A small picture with a
// turn goes the same way first: where that does not come out right (an engine
// that disturbs what is drawn, one without JPEG), originals are kept with their
// turn instead of reduced ones.

import { type Head, head, isWhole, NoPicture, strip, typeOf } from "./jpeg";
import { sha256 } from "./record";
import { SAMPLE } from "./sample";
import { turned } from "./turned";
import { CHUNK_BYTES } from "./uploads";

export const LONG = 2560; // px, long side of a photo
const QUALITY = 0.85;
const PREVIEW = { long: 320, bytes: 40_960, from: 0.8, least: 0.3, step: 0.1 };
const MOST = { bytes: 40 * 2 ** 20, pixels: 64 * 2 ** 20 }; // what the shop takes

/** Bytes with their names. */
export interface Picture {
	sha: string;
	bytes: Uint8Array<ArrayBuffer>;
	chunks: ArrayBuffer[];
	names: string[]; // sha256 of each chunk
	w: number; // px, of the bytes as they are
	h: number;
}

export interface Reduced {
	photo: Picture;
	preview: Picture | null;
	turn: number; // still to be applied; 1 unless the original was kept
	taken: string;
}

let before: Promise<unknown> = Promise.resolve();

/** reduce makes a photo of a file. It throws NoPicture, with why, for what cannot be one. */
export function reduce(file: Blob): Promise<Reduced> {
	const now = before.then(() => one(file));
	before = now.catch(() => {});
	return now;
}

async function one(file: Blob): Promise<Reduced> {
	if (file.size > MOST.bytes) throw new NoPicture("large", `${file.size} bytes`);
	const raw = new Uint8Array(await file.arrayBuffer());
	const type = typeOf(raw);
	if (type === "") throw new NoPicture("type", "not a picture");
	if (type !== "image/jpeg") return other(raw, type);
	const is = head(raw);
	if (is.w * is.h > MOST.pixels) throw new NoPicture("large", `${is.w} × ${is.h} px`);
	const bare = strip(raw);
	try {
		if (!(await draws())) throw new Error("this engine does not draw what it is given");
		return { ...(await drawn(new Blob([bare], { type }), is)), turn: 1, taken: is.taken };
	} catch (err) {
		if (!isWhole(bare)) throw new NoPicture("broken", String(err)); // the shop would not take it either
		console.warn("the original is kept, since it could not be reduced:", err);
		return { photo: await named(bare), preview: null, turn: is.turn, taken: is.taken };
	}
}

// other types are drawn or refused: their bytes may tell the place in ways not read here.
async function other(raw: Uint8Array<ArrayBuffer>, type: string): Promise<Reduced> {
	try {
		if (!(await draws())) throw new Error("this engine does not draw what it is given");
		return { ...(await drawn(new Blob([raw], { type }), null)), turn: 1, taken: "" };
	} catch (err) {
		throw new NoPicture(type === "image/heic" ? "heic" : "type", String(err));
	}
}

async function drawn(file: Blob, is: Head | null): Promise<{ photo: Picture; preview: Picture | null }> {
	const large = await upright(file, is, LONG);
	try {
		return { photo: await named(await encoded(large, QUALITY)), preview: await previewOf(large) };
	} finally {
		large.width = large.height = 0; // some engines hold on to the memory of a canvas that is still known
	}
}

type Canvas = OffscreenCanvas | HTMLCanvasElement;

// upright draws the picture turned and no longer than long.
async function upright(file: Blob, is: Head | null, long: number): Promise<Canvas> {
	const aim = is && within(is.w, is.h, long);
	const bitmap = await createImageBitmap(
		file,
		...(aim ? [{ resizeWidth: aim.w, resizeHeight: aim.h, resizeQuality: "high" } as const] : []),
	);
	try {
		const { w, h } = aim ?? within(bitmap.width, bitmap.height, long);
		const turn = is?.turn ?? 1;
		const canvas = turn >= 5 ? canvasOf(h, w) : canvasOf(w, h);
		const pen = penOf(canvas);
		if (!is) {
			pen.fillStyle = "#fff"; // what is clear becomes white paper
			pen.fillRect(0, 0, w, h);
		}
		pen.imageSmoothingQuality = "high";
		pen.setTransform(...turned(turn, w, h));
		pen.drawImage(bitmap, 0, 0, w, h);
		const middle = pen.getImageData(canvas.width >> 1, canvas.height >> 1, 1, 1).data;
		if (middle[3] !== 255) throw new Error("the engine drew nothing");
		return canvas;
	} finally {
		bitmap.close();
	}
}

async function previewOf(large: Canvas): Promise<Picture | null> {
	for (let long = PREVIEW.long; long >= 80; long /= 2) {
		const { w, h } = within(large.width, large.height, long);
		const small = canvasOf(w, h);
		const pen = penOf(small);
		pen.imageSmoothingQuality = "high";
		pen.drawImage(large, 0, 0, w, h);
		for (let q = PREVIEW.from; q >= PREVIEW.least; q -= PREVIEW.step) {
			const bytes = await encoded(small, q);
			if (bytes.length <= PREVIEW.bytes) return named(bytes);
		}
	}
	return null;
}

async function encoded(canvas: Canvas, quality: number): Promise<Uint8Array<ArrayBuffer>> {
	const type = "image/jpeg";
	const blob =
		"convertToBlob" in canvas
			? await canvas.convertToBlob({ type, quality })
			: await new Promise<Blob | null>((done) => canvas.toBlob(done, type, quality));
	const drawn = (await blob?.arrayBuffer()) ?? new ArrayBuffer(0);
	const bytes = strip(new Uint8Array(drawn)); // some engines write an Exif part of their own
	const { w, h } = head(bytes);
	if (w !== canvas.width || h !== canvas.height) throw new Error(`${w} × ${h} px came out of the canvas`);
	return bytes;
}

async function named(bytes: Uint8Array<ArrayBuffer>): Promise<Picture> {
	const chunks: ArrayBuffer[] = [];
	for (let i = 0; i < bytes.length; i += CHUNK_BYTES) chunks.push(bytes.slice(i, i + CHUNK_BYTES).buffer);
	const names = await Promise.all(chunks.map(sha256));
	const { w, h } = head(bytes);
	return { sha: await sha256(bytes), bytes, chunks, names, w, h };
}

let known: Promise<boolean> | null = null;

// draws tells whether this engine draws and encodes as it should: the sample is red
// in its upper left quarter and blue elsewhere, once it was turned by 6.
function draws(): Promise<boolean> {
	known ??= (async () => {
		const raw = Uint8Array.from(atob(SAMPLE), (c) => c.charCodeAt(0));
		const canvas = await upright(new Blob([strip(raw)], { type: "image/jpeg" }), head(raw), 32);
		const again = await upright(
			new Blob([await encoded(canvas, QUALITY)], { type: "image/jpeg" }),
			head(await encoded(canvas, QUALITY)),
			32,
		);
		const pen = penOf(again);
		const isRed = (x: number, y: number) => {
			const [r = 0, , b = 0] = pen.getImageData(x * again.width, y * again.height, 1, 1).data;
			return r > 128 && b < 128;
		};
		const isUpright = again.width < again.height;
		return isUpright && isRed(0.25, 0.25) && !isRed(0.75, 0.25) && !isRed(0.25, 0.75) && !isRed(0.75, 0.75);
	})().catch(() => false);
	return known;
}

function within(w: number, h: number, long: number): { w: number; h: number } {
	const by = Math.min(1, long / Math.max(w, h));
	return { w: Math.max(1, Math.round(w * by)), h: Math.max(1, Math.round(h * by)) };
}

function canvasOf(w: number, h: number): Canvas {
	if (typeof OffscreenCanvas === "function") return new OffscreenCanvas(w, h);
	return Object.assign(document.createElement("canvas"), { width: w, height: h });
}

function penOf(canvas: Canvas): OffscreenCanvasRenderingContext2D | CanvasRenderingContext2D {
	const pen = canvas.getContext("2d", { willReadFrequently: true }) as
		| OffscreenCanvasRenderingContext2D
		| CanvasRenderingContext2D
		| null;
	if (!pen) throw new Error("this engine has no canvas");
	return pen;
}

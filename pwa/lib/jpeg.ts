// What a picture's bytes say of themselves, read by our own code, so that every
// engine shows and turns it alike; and the same picture without all that tells
// more than the picture: where it was taken, by which camera, what was said of it.
// calc/photo is the shop's twin; both are held to the same files.

export interface Head {
	type: "image/jpeg";
	w: number; // px, as stored, before turn
	h: number;
	turn: number; // 1 to 8, how the stored picture is to be turned (CIPA DC-008, Orientation); 1 is upright
	place: boolean; // it may tell where it was taken
	taken: string; // camera's own time as RFC 3339 writes it, without the zone where it names none; "" when none
}

/** Why bytes cannot be a photo here. */
export type Why = "type" | "heic" | "broken" | "large";

export class NoPicture extends Error {
	constructor(
		readonly why: Why,
		detail: string,
	) {
		super(detail);
	}
}

/** typeOf tells the type of a picture by its content, "" for anything else. */
export function typeOf(b: Uint8Array): "image/jpeg" | "image/png" | "image/webp" | "image/heic" | "" {
	if (b[0] === 0xff && b[1] === 0xd8 && b[2] === 0xff) return "image/jpeg";
	if (ascii(b, 0, 8) === "\x89PNG\r\n\x1a\n") return "image/png";
	if (ascii(b, 0, 4) === "RIFF" && ascii(b, 8, 12) === "WEBP") return "image/webp";
	return ascii(b, 4, 8) === "ftyp" && isHEIC(b) ? "image/heic" : "";
}

// isHEIC reads the brands of a file that begins as films do (ISO/IEC 23008-12 annex B, from memory).
function isHEIC(b: Uint8Array): boolean {
	const size = ((at(b, 0) << 24) | (at(b, 1) << 16) | (at(b, 2) << 8) | at(b, 3)) >>> 0;
	const brands = [ascii(b, 8, 12)];
	for (let i = 16; i + 4 <= Math.min(size, b.length, 256); i += 4) brands.push(ascii(b, i, i + 4));
	return !brands.some((x) => x === "avif" || x === "avis") && brands.some((x) => BRANDS.has(x));
}

const BRANDS = new Set(["heic", "heix", "hevc", "hevx", "heim", "heis", "hevm", "hevs", "mif1", "msf1"]);

/**
 * head reads a JPEG. It throws NoPicture for what is none. It is as strict as the
 * shop but for two things that strip or drawing puts right: data behind the end of
 * the picture, and a file that ends too early.
 */
export function head(b: Uint8Array): Head {
	if (typeOf(b) === "image/heic") throw new NoPicture("heic", "HEIC");
	if (typeOf(b) !== "image/jpeg") throw new NoPicture("type", "not a JPEG");
	const out: Head = { type: "image/jpeg", w: 0, h: 0, turn: 1, place: false, taken: "" };
	let isTold = false;
	let isScanned = false;
	for (const s of segments(b)) {
		const isExif = ascii(b, s.start, s.start + 5) === "Exif\0" && s.end - s.start >= 6;
		if (s.marker === SOS && out.w === 0) throw new NoPicture("broken", "the size is missing");
		if (s.marker === SOS) isScanned = true;
		if (isFrame(s.marker)) size(b, s, out);
		if (s.marker === APP1 && isExif) {
			const told = readExif(b.subarray(s.start + 6, s.end));
			out.place ||= told.place;
			if (!isTold) Object.assign(out, { turn: told.turn, taken: told.taken });
			isTold = true;
		} else if (s.marker === APP1 || s.marker === APP13 || s.marker === COM) {
			out.place = true; // XMP, IPTC and comments are free text, which may name a place
		}
	}
	if (!isScanned) throw new NoPicture("broken", "there is no picture in it");
	return out;
}

/** isWhole tells whether a JPEG goes to its end and no farther; the shop takes no other. */
export function isWhole(b: Uint8Array): boolean {
	let last: Segment | null = null;
	for (const s of segments(b)) last = s;
	return last?.marker === EOI && b.subarray(last.end).every((v) => v === 0);
}

// size takes the size from a frame header: precision, lines, samples a line.
function size(b: Uint8Array, s: Segment, out: Head): void {
	if (out.w !== 0) throw new NoPicture("broken", "a second size");
	if (s.end - s.start < 6) throw new NoPicture("broken", "its size is cut off");
	out.h = (at(b, s.start + 1) << 8) | at(b, s.start + 2);
	out.w = (at(b, s.start + 3) << 8) | at(b, s.start + 4);
	if (out.w === 0 || out.h === 0) throw new NoPicture("broken", "its size is zero");
}

/**
 * strip returns the same picture without what is beside it: only APP0, a colour
 * profile and APP14 stay of the application's segments, and nothing that comes
 * behind the picture's end (a film, a second picture). What is drawn stays bit for bit.
 */
export function strip(b: Uint8Array): Uint8Array<ArrayBuffer> {
	if (typeOf(b) !== "image/jpeg") throw new NoPicture("type", "not a JPEG");
	const parts: Uint8Array[] = [b.subarray(0, 2)];
	for (const s of segments(b)) {
		if (!isBeside(b, s)) parts.push(b.subarray(s.from, s.end));
		if (s.marker === SOS) parts.push(b.subarray(s.end, s.next));
	}
	const out = new Uint8Array(parts.reduce((n, p) => n + p.length, 0));
	let n = 0;
	for (const p of parts) {
		out.set(p, n);
		n += p.length;
	}
	return out;
}

const [TEM, SOS, EOI, APP1, APP13, COM] = [0x01, 0xda, 0xd9, 0xe1, 0xed, 0xfe];

interface Segment {
	marker: number;
	from: number; // of its marker
	start: number; // of what it holds
	end: number;
	next: number; // of the next marker; behind a scan's data
}

// segments walks from marker to marker (ITU-T T.81, annex B.1.1) and ends with the
// picture, or where the file is cut off.
function* segments(b: Uint8Array): Generator<Segment> {
	for (let i = 2; i < b.length; ) {
		if (b[i] !== 0xff) throw new NoPicture("broken", `bytes between its parts, at ${i}`);
		while (b[i + 1] === 0xff) i++; // fill bytes
		const marker = b[i + 1];
		if (marker === undefined) return;
		if (marker === EOI || marker === TEM) {
			yield { marker, from: i, start: i + 2, end: i + 2, next: i + 2 };
			if (marker === EOI) return;
			i += 2;
			continue;
		}
		if (marker === 0 || (marker >= 0xd0 && marker <= 0xd8))
			throw new NoPicture("broken", `a marker out of place, at ${i}`);
		if (i + 4 > b.length) return;
		const length = (at(b, i + 2) << 8) | at(b, i + 3);
		if (length < 2) throw new NoPicture("broken", "a part without a length");
		const end = i + 2 + length;
		if (end > b.length) return;
		const next = marker === SOS ? afterScan(b, end) : end;
		yield { marker, from: i, start: i + 4, end, next };
		i = next;
	}
}

// afterScan finds the marker that ends a scan: not a stuffed zero, not a restart.
function afterScan(b: Uint8Array, from: number): number {
	for (let i = b.indexOf(0xff, from); i >= 0; i = b.indexOf(0xff, i + 1)) {
		const m = b[i + 1];
		if (m !== undefined && m !== 0 && m !== 0xff && (m < 0xd0 || m > 0xd7)) return i;
	}
	return b.length;
}

const isFrame = (m: number) => m >= 0xc0 && m <= 0xcf && m !== 0xc4 && m !== 0xc8 && m !== 0xcc;

function isBeside(b: Uint8Array, s: Segment): boolean {
	if (s.marker === COM) return true;
	if (s.marker < 0xe0 || s.marker > 0xef) return false;
	if (s.marker === 0xe2) return ascii(b, s.start, s.start + 12) !== "ICC_PROFILE\0";
	return s.marker !== 0xe0 && s.marker !== 0xee;
}

interface Told {
	turn: number;
	taken: string;
	place: boolean;
}

// Tags of CIPA DC-008 (Exif) and of TIFF 6.0, on which it rests.
const TAG = { turn: 0x0112, exif: 0x8769, gps: 0x8825, taken: 0x9003, zone: 0x9011 };
const KIND = { ascii: 2, short: 3, long: 4 };
const MOST_DIRS = 8; // a picture has two or three; one that goes round in a circle ends here

// readExif reads the directories of a TIFF structure: the chain, then the Exif
// directory that the first names. Where it cannot be read through, it may hold a
// place that was not seen.
function readExif(t: Uint8Array): Told {
	const out: Told = { turn: 1, taken: "", place: false };
	const order = ascii(t, 0, 4);
	if (t.length < 8 || (order !== "II*\0" && order !== "MM\0*")) return { ...out, place: true };
	const isLittle = order === "II*\0";
	const view = new DataView(t.buffer, t.byteOffset, t.length);
	const u16 = (i: number) => view.getUint16(i, isLittle);
	const u32 = (i: number) => view.getUint32(i, isLittle);
	let dir = u32(4);
	let inside = 0;
	let zone = "";
	for (let n = 0; dir !== 0 || inside !== 0; n++) {
		const isFirst = n === 0;
		const isExif = dir === 0;
		if (isExif) [dir, inside] = [inside, 0];
		const count = dir + 2 <= t.length ? u16(dir) : -1;
		const end = dir + 2 + 12 * count;
		if (n === MOST_DIRS || count < 0 || end > t.length) return { ...out, place: true };
		for (let i = dir + 2; i < end; i += 12) {
			const [tag, kind] = [u16(i), u16(i + 2)];
			if (tag === TAG.gps) out.place = true;
			if (tag === TAG.turn && isFirst && kind === KIND.short && u16(i + 8) >= 1 && u16(i + 8) <= 8)
				out.turn = u16(i + 8);
			if (tag === TAG.exif && isFirst && kind === KIND.long) inside = u32(i + 8);
			if (tag === TAG.taken && isExif) out.taken = stamp(word(t, kind, u32(i + 4), u32(i + 8)));
			if (tag === TAG.zone && isExif) zone = word(t, kind, u32(i + 4), u32(i + 8));
		}
		dir = isExif || end + 4 > t.length ? 0 : u32(end);
	}
	if (out.taken !== "" && /^[+-]([01]\d|2[0-3]):[0-5]\d$/.test(zone)) out.taken += zone;
	return out;
}

function word(t: Uint8Array, kind: number, count: number, from: number): string {
	if (kind !== KIND.ascii || count < 5 || from + count > t.length) return "";
	return ascii(t, from, from + Math.min(count, 64)).split("\0", 1)[0] ?? "";
}

// stamp turns "2025:11:24 23:04:01" into "2025-11-24T23:04:01"; "" where the camera's clock was never set.
function stamp(s: string): string {
	const m = /^(\d{4}):(0[1-9]|1[0-2]):(0[1-9]|[12]\d|3[01]) ((?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d)$/.exec(s);
	return m && m[1] !== "0000" ? `${m[1]}-${m[2]}-${m[3]}T${m[4]}` : "";
}

const at = (b: Uint8Array, i: number) => b[i] ?? 0;

const ascii = (b: Uint8Array, from: number, to: number) => String.fromCharCode(...b.subarray(from, to));

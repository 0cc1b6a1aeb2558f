// Sheets of a job, made by the calculation on this tablet or fetched as PDF from the
// shop, and drawings that are read in. Nothing is kept here.

import { parse } from "./answers";
import { running } from "./core";
import { askDrawer } from "./drawer";
import { withToken } from "./pairing";
import { within } from "./request";
import type { Corner } from "./typesflange";

/** One sheet, whether it can be made or not. */
export interface SheetEntry {
	key: string;
	title: string;
	why: string; // it cannot be made, a sentence; "" where it can
	forms: string[]; // pdf, svg, dxf
	warnings: string[];
	sign: string; // of what it is made from, as it stands on it
	asks?: SheetAsk[]; // figures that stand behind its key
	not_to_scale?: boolean; // it is read, and bears no rulers
}

/** A figure that a sheet asks for: a length (unit "mm"), an angle ("°") or a count (""). */
export interface SheetAsk {
	name: string;
	label: string;
	unit: string;
	low: number;
	high: number;
	default: string; // "" where it has to be said
}

export interface SheetList {
	inputs: string; // sign of all that they are made from
	sheets: SheetEntry[];
}

/** A sheet as this tablet makes it. */
export interface SheetText {
	key: string;
	title: string;
	sign: string;
	warnings: string[];
	name: string; // of the file
	text: string;
}

/** What a DXF holds; lengths in mm. */
export interface Drawn {
	ask: { why: string; mm: [number, number]; in: [number, number] } | null; // the unit is to be named first
	unit: string;
	size: [number, number];
	path: string; // of the outside edge, "" where there is none
	holes: DrawnHole[];
	openings: DrawnOpening[];
	layers: { name: string; off: boolean; pieces: number }[];
	notes: string[];
}

export interface DrawnHole {
	x: number;
	y: number;
	diameter: number;
	bolt?: string; // that it lies on once the drawing is laid on the head; likewise port
	port?: string;
}

/** Round with a diameter, or drawn with a path about x, y. */
export interface DrawnOpening {
	x: number;
	y: number;
	shape: string;
	diameter?: number;
	path?: string;
	bolt?: string;
	port?: string;
}

const recordsOf = (job: string) => running().held.texts(job);

/** sheetsOf lists the sheets of a job. */
export async function sheetsOf(job: string): Promise<SheetList> {
	const q = { op: "sheets", job, records: recordsOf(job) };
	return parse<SheetList>(await askDrawer("sheets", q));
}

/** baseOf is the key of a sheet without the figures behind it. */
export const baseOf = (key: string) => key.split(",")[0] ?? "";

/** entryOf finds the sheet of a key; with figures behind the key it is one that can be tried. */
export function entryOf(list: SheetList, key: string): SheetEntry | undefined {
	const entry = list.sheets.find((s) => s.key === baseOf(key));
	return entry && entry.key !== key && entry.asks ? { ...entry, key, why: "" } : entry;
}

/** figuresOf reads the figures behind a key as they were typed. */
export function figuresOf(key: string): Record<string, string> {
	const figures: Record<string, string> = {};
	for (const part of key.split(",").slice(1)) {
		const [name = "", value = ""] = part.split("=");
		figures[name] = value;
	}
	return figures;
}

/** keyWith puts figures behind a key; a length without a unit is in unit. A comma parts figures, so a decimal one becomes a point. */
export function keyWith(
	base: string,
	asks: SheetAsk[],
	typed: Record<string, string>,
	unit: "mm" | "in",
): string {
	const parts = [base];
	for (const a of asks) {
		const text = (typed[a.name] ?? "").trim().replace(/,/g, ".");
		if (text === "") continue;
		parts.push(`${a.name}=${text}${a.unit === "mm" && /[\d.]$/.test(text) ? ` ${unit}` : ""}`);
	}
	return parts.join(",");
}

/** sheetOf makes one sheet as SVG or DXF; unit is that of its figures. */
export async function sheetOf(
	job: string,
	key: string,
	form: "svg" | "dxf",
	unit: string,
): Promise<SheetText> {
	const d = new Date(running().env.now());
	const date = [d.getFullYear(), d.getMonth() + 1, d.getDate()]
		.map((n) => String(n).padStart(2, "0"))
		.join("-");
	const q = { op: "sheet", job, records: recordsOf(job), sheet: key, form, unit, date };
	return parse<SheetText>(await askDrawer(`sheet ${form}`, q));
}

/** drawingOf reads a DXF for a bank; unit, "mm" or "in", is asked for where the file does not say it. */
export async function drawingOf(job: string, bank: string, file: string, unit: string): Promise<Drawn> {
	const q = { op: "drawing", job, records: recordsOf(job), bank, file, unit };
	return parse<Drawn>(await askDrawer("drawing", q));
}

/** cornersOf reads a path as the calculation writes it: "x y bulge;…". */
export const cornersOf = (path: string): Corner[] =>
	path === ""
		? []
		: path.split(";").map((v) => {
				const [x = 0, y = 0, bulge = 0] = v.trim().split(/\s+/).map(Number);
				return [x, y, bulge];
			});

const PDF_MS = 60_000;

/**
 * pdfOf fetches a sheet from the shop as a file; it rejects with a sentence. sign is that of what the shop made it
 * from: it may hold other records than this tablet.
 */
export async function pdfOf(
	job: string,
	key: string,
	paper: string,
	unit: string,
): Promise<{ file: File; sign: string }> {
	const base = `/api/jobs/${encodeURIComponent(job)}/sheets`;
	const list = JSON.parse(new TextDecoder().decode((await get(base)).bytes)) as SheetList;
	const { bytes, name } = await get(`${base}/${encodeURIComponent(key)}.pdf?paper=${paper}&unit=${unit}`);
	if (!isWholePDF(bytes)) throw new Error("what came is not a whole PDF");
	const sign = entryOf(list, key)?.sign ?? "";
	return { file: new File([bytes], name || `${key}.pdf`, { type: "application/pdf" }), sign };
}

async function get(path: string): Promise<{ bytes: ArrayBuffer; name: string }> {
	return within(PDF_MS, null, async (signal) => {
		const res = await asked(path, signal);
		return { bytes: await res.arrayBuffer(), name: nameOf(res) };
	});
}

// asked rejects with the shop's own sentence where it has one.
async function asked(path: string, signal: AbortSignal): Promise<Response> {
	const res = await fetch(path, withToken(path, { signal, cache: "no-store" }));
	if (res.ok) return res;
	const said = await res.text();
	if (said.startsWith("{")) parse(said);
	throw new Error(`it answered ${res.status}`);
}

// nameOf is what the shop calls a file, "" where it does not say.
const nameOf = (res: Response) =>
	/filename="([^"/\\]+)"/.exec(res.headers.get("Content-Disposition") ?? "")?.[1] ?? "";

const PACK_MS = 1_800_000; // some thousand photos over a poor link

/**
 * packOf fetches the record pack of a job from the shop as a file; it rejects with a sentence. The browser keeps what
 * is large on the disk.
 */
export async function packOf(job: string, paper: string, unit: string): Promise<File> {
	const path = `/api/jobs/${encodeURIComponent(job)}/pack?paper=${paper}&unit=${unit}`;
	return within(PACK_MS, null, async (signal) => {
		const res = await asked(path, signal);
		const blob = await res.blob();
		if (`${blob.size}` !== res.headers.get("Content-Length"))
			throw new Error("what came is not the whole pack");
		return new File([blob], nameOf(res) || "job-pack.tubewright.zip", { type: "application/zip" });
	});
}

// A connection that broke off leaves the head without the end.
function isWholePDF(bytes: ArrayBuffer): boolean {
	const text = (from: number, to?: number) => new TextDecoder("latin1").decode(bytes.slice(from, to));
	return text(0, 5) === "%PDF-" && text(-1024).includes("%%EOF");
}

// Which photos and marks there are, from the records alone. Bodies come from
// other tablets too: what does not read as a photo or a mark is passed over.

import type { Held, HeldRecord } from "./held";
import { byClock, isLiveIn } from "./table";
import type { Envelope } from "./types";

export interface Preview {
	sha: string;
	size: number; // bytes
	w: number; // px
	h: number;
}

export interface Photo {
	id: string; // of its record
	job: string;
	slot: string; // what it shows: "port/p1/width", "port/p1/photo", "job/self/photo"
	sha: string; // of its bytes
	size: number; // bytes
	type: string;
	w: number; // px, upright
	h: number;
	turn: number; // still to be applied, 1 to 8; 1 is upright
	preview: Preview | null;
	of: string; // id of the record that its form makes, "" when there is none
	taken: string; // camera's own time, "" when it tells none
	person: string;
	at: string;
	dev: string;
	hlc: string;
}

export const SHAPES = ["arrow", "circle", "line", "text"] as const;
export type Shape = (typeof SHAPES)[number];

/** Two places on the upright picture, millionths of its width and of its height: x1, y1, x2, y2. */
export type Places = [number, number, number, number];

export interface PhotoMark {
	id: string;
	photo: string; // sha
	shape: Shape;
	points: Places; // circle: centre, then a point on it; text: its place twice
	text: string;
	person: string;
	at: string;
	hlc: string;
}

/** What a job has of photos, oldest first. */
export interface Pictures {
	photos: Photo[];
	out: Photo[]; // taken out, can be brought back
	marks: PhotoMark[];
	denied: Set<string>; // taken out for good: photos and their previews, by sha
}

/** picturesIn reads the photos of a job. */
export function picturesIn(held: Held, job: string): Pictures {
	const denies: string[] = [];
	const all: { photo: Photo; isLive: boolean }[] = [];
	const marks: PhotoMark[] = [];
	for (const slot of held.slots(job)) {
		const envs = held.slot(job, slot).map((r) => r.env);
		if (!envs.some((e) => e.kind in READ)) continue;
		for (const e of [...envs].sort(byClock)) {
			const photo = e.kind === "photo" ? photoOf(e) : null;
			if (photo) all.push({ photo, isLive: isLiveIn(envs, e.id) });
			const mark = e.kind === "mark" && isLiveIn(envs, e.id) ? markOf(e) : null;
			if (mark) marks.push(mark);
			// a deny counts even when it was taken back: the bytes are gone
			const sha = e.kind === "deny" ? bodyOf(e).sha : "";
			if (isSha(sha)) denies.push(sha);
		}
	}
	const denied = new Set(denies);
	for (const { photo } of all) if (denies.includes(photo.sha) && photo.preview) denied.add(photo.preview.sha);
	const there = all.filter((a) => !denied.has(a.photo.sha));
	const photos = there.filter((a) => a.isLive).map((a) => a.photo);
	const out = there.filter((a) => !a.isLive).map((a) => a.photo);
	return { photos: photos.sort(byTime), out: out.sort(byTime), marks: marks.sort(byTime), denied };
}

/**
 * pendingForm returns the name that the form of a slot goes on with, since a photo
 * of this tablet was taken for what it makes; "" when there is none.
 */
export function pendingForm(held: Held, dev: string, job: string, slot: string): string {
	const envs = held.slot(job, slot).map((r) => r.env);
	const photos = envs.filter((e) => e.kind === "photo" && e.dev === dev).sort(byClock);
	for (const e of photos.reverse()) {
		const of = photoOf(e)?.of ?? "";
		if (of !== "" && isLiveIn(envs, e.id)) return isSpent(held.slot(job, slot), of) ? "" : of;
	}
	return "";
}

/** isSpent tells whether a reading was made by the form of this name. */
export const isSpent = (records: HeldRecord[], name: string): boolean =>
	records.some((r) => r.kind === "reading" && formOf(r.env) === name);

/** formOf is the name of the form that a reading was made by: its id, unless the form was gone on with. */
export const formOf = (reading: Envelope): string => words(bodyOf(reading).form) || reading.id;

const READ = { photo: 1, mark: 1, deny: 1 };

const byTime = (a: { hlc: string; id: string }, b: { hlc: string; id: string }) =>
	a.hlc === b.hlc ? (a.id < b.id ? -1 : 1) : a.hlc < b.hlc ? -1 : 1;

const bodyOf = (e: Envelope): Record<string, unknown> =>
	typeof e.body === "object" && e.body !== null ? (e.body as Record<string, unknown>) : {};

export const isSha = (v: unknown): v is string => typeof v === "string" && /^[0-9a-f]{64}$/.test(v);
const isCount = (v: unknown): v is number => Number.isSafeInteger(v) && (v as number) > 0;
const words = (v: unknown) => (typeof v === "string" ? v : "");

function photoOf(e: Envelope): Photo | null {
	const b = bodyOf(e);
	const { sha, size, w, h, turn, preview } = b;
	if (!isSha(sha) || !isCount(size) || !isCount(w) || !isCount(h)) return null;
	return {
		id: e.id,
		job: e.job,
		slot: e.slot,
		sha,
		size,
		type: words(b.type),
		w,
		h,
		turn: isCount(turn) && turn <= 8 ? turn : 1,
		preview: previewOf(preview),
		of: words(b.of),
		taken: words(b.taken),
		person: words(b.person),
		at: words(b.at),
		dev: e.dev,
		hlc: e.hlc,
	};
}

function previewOf(v: unknown): Preview | null {
	if (typeof v !== "object" || v === null) return null;
	const { sha, size, w, h } = v as Record<string, unknown>;
	return isSha(sha) && isCount(size) && isCount(w) && isCount(h) ? { sha, size, w, h } : null;
}

function markOf(e: Envelope): PhotoMark | null {
	const b = bodyOf(e);
	const shape = SHAPES.find((s) => s === b.shape);
	const points = b.points;
	if (!isSha(b.photo) || !shape || !Array.isArray(points) || points.length !== 4) return null;
	if (!points.every((v) => Number.isSafeInteger(v))) return null;
	return {
		id: e.id,
		photo: b.photo,
		shape,
		points: points as Places,
		text: words(b.text),
		person: words(b.person),
		at: words(b.at),
		hlc: e.hlc,
	};
}

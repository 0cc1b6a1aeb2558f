// What the screens know of photos and can do with them. A photo is reduced and
// hashed first; then its record, its bytes and its preview are written in one
// transaction; only then is it shown as saved.

import { computed, effect, type Signal, signal } from "@preact/signals";
import { changes, once, running, setStatus, signed, status, storageFails, write } from "./core";
import { Away, Downloads, type Wanted } from "./downloads";
import { endPhoto } from "./intent";
import {
	formOf,
	type Photo,
	type PhotoMark,
	type Pictures,
	type Places,
	picturesIn,
	type Shape,
} from "./pictures";
import type { Picture, Reduced } from "./reduce";
import { Gallery, type Shown } from "./shown";
import { retract, whereIs } from "./state";
import { NoRoom, type PhotoBytes, type PhotoRow, type Store } from "./store";
import type { Where } from "./typesapp";
import { type BlobState, Uploads } from "./uploads";

export { beginPhoto, endPhoto, type Intent, photoIntent } from "./intent";
export type { Photo, PhotoMark, Places, Shape } from "./pictures";
export type { Shown } from "./shown";

/** How many photos wait to be sent, and one sentence where the shop does not take one. */
export const sending = signal({ waiting: 0, sentence: "" });
/** The photo that is being reduced and saved right now: what it shows, "" for none. */
export const savingPhoto = signal("");

const rows = signal<ReadonlyMap<string, PhotoRow>>(new Map());
const standings = signal<ReadonlyMap<string, BlobState>>(new Map());

let uploads: Uploads | null = null;
let downloads: Downloads | null = null;
const gallery = new Gallery(find);

/** Network and time for the photos. */
export interface PhotoWorld {
	fetch(path: string, init: RequestInit): Promise<Response>;
	now(): number;
	random(): number;
	after(ms: number, act: () => void): () => void;
}

/** What the world around tells the photos. */
export interface PhotoWires {
	visible(isShown: boolean): void;
	came(shas: string[]): void; // the shop has these photos now
	backed(pos: number): void; // position up to which the shop has a backup
	reset(): void; // the shop's log is another one
}

/** startPhotos begins to send and to fetch; the records are read in by then. */
export async function startPhotos(world: PhotoWorld): Promise<PhotoWires> {
	const { env, outbox } = running();
	const { store } = env;
	await readRows(store);
	const net = { ...world, isLinked: () => isHeard(status.peek().link), unsent: () => outbox.size };
	const up = new Uploads(net, store, { progress, sent, trouble: storageFails }, isDenied);
	const down = new Downloads(net, store, wanted, { kept: (row) => putRow(row), trouble: noRoom });
	uploads = up;
	downloads = down;
	const isLinked = computed(() => isHeard(status.value.link));
	effect(() => {
		if (!isLinked.value) return;
		up.welcomed();
		down.anew();
		gallery.again();
	});
	let backedTo = 0;
	let off = () => {};
	effect(() => {
		changes.value;
		off();
		off = world.after(TEND_MS, () => void tend().catch(storageFails));
	});
	return {
		visible: (isShown) => {
			up.visible(isShown);
			down.visible(isShown);
		},
		came: (shas) => {
			standings.value = new Map([...standings.value].filter(([sha]) => !shas.includes(sha)));
			down.came(shas);
			gallery.again();
		},
		backed: (pos) => {
			if (pos === backedTo) return;
			backedTo = pos;
			standings.value = new Map();
			void up.tidy().catch(() => {}); // the network's trouble; the next backup asks again
		},
		reset: () => {
			standings.value = new Map();
			void up
				.reset()
				.then(() => readRows(store))
				.catch(storageFails);
		},
	};
}

const TEND_MS = 300;

const isHeard = (link: string) => link === "live" || link === "sync";

// tend follows the records: what was taken out for good goes, what is new is sent and fetched.
async function tend(): Promise<void> {
	const { store } = running().env;
	const gone = deniedAll();
	for (const sha of rows.peek().keys()) {
		if (!gone.has(sha) || cleared.has(sha)) continue;
		await store.dropChunks(sha);
		cleared.add(sha);
		gallery.gone(sha);
	}
	uploads?.wake();
	downloads?.wake();
}

const cleared = new Set<string>(); // denied, bytes dropped

async function readRows(store: Store): Promise<void> {
	rows.value = new Map((await store.photoRows()).map((r) => [r.sha, r]));
	gallery.again(); // a screen may have been quicker
}

function putRow(...list: PhotoRow[]): void {
	rows.value = new Map([...rows.peek(), ...list.map((r) => [r.sha, r] as const)]);
	gallery.again();
}

function progress(waiting: number, sentence: string): void {
	const was = sending.peek();
	if (was.waiting !== waiting || was.sentence !== sentence) sending.value = { waiting, sentence };
}

function sent(sha: string): void {
	const row = rows.peek().get(sha);
	if (row) rows.value = new Map([...rows.peek(), [sha, { ...row, state: "sent" }]]);
}

function noRoom(err: unknown): void {
	if (err instanceof NoRoom) setStatus({ hasSpare: false });
	else storageFails(err);
}

const indexed = new Map<string, { revision: number; has: Pictures }>();

function has(job: string): Pictures {
	const { held } = running();
	const revision = held.revision(job);
	const known = indexed.get(job);
	if (known?.revision === revision) return known.has;
	const fresh = picturesIn(held, job);
	indexed.set(job, { revision, has: fresh });
	return fresh;
}

function deniedAll(): Set<string> {
	const all = new Set<string>();
	for (const job of running().held.jobs()) for (const sha of has(job).denied) all.add(sha);
	return all;
}

const isDenied = (sha: string) =>
	running()
		.held.jobs()
		.some((job) => has(job).denied.has(sha));

function wanted(): Wanted[] {
	const { held } = running();
	const gone = deniedAll();
	const list: Wanted[] = [];
	for (const job of held.jobs())
		for (const p of has(job).photos)
			if (p.preview && !rows.peek().has(p.preview.sha) && !gone.has(p.sha))
				list.push({ ...p.preview, of: p.sha, job });
	return list;
}

/** photosOf lists the photos of a job, or of what one slot shows, oldest first; each picture once. */
export function photosOf(job: string, slot?: string): Photo[] {
	changes.value;
	const seen = new Set<string>();
	return has(job).photos.filter((p) => {
		const isNew = (slot === undefined || p.slot === slot) && !seen.has(`${p.slot} ${p.sha}`);
		if (isNew) seen.add(`${p.slot} ${p.sha}`);
		return isNew;
	});
}

/** photosFor lists the photos that were taken for one reading of a slot. */
export function photosFor(job: string, slot: string, reading: string): Photo[] {
	const env = running().held.get(reading)?.env;
	const name = env ? formOf(env) : reading;
	return photosOf(job, slot).filter((p) => p.of === name);
}

/** takenOut lists the photos of a job that were taken out and can be brought back. */
export function takenOut(job: string): Photo[] {
	changes.value;
	return has(job).out;
}

/** marksOf lists the marks on a photo, oldest first. */
export function marksOf(job: string, sha: string): PhotoMark[] {
	changes.value;
	return has(job).marks.filter((m) => m.photo === sha);
}

/** isGone tells whether a photo was taken out for good. */
export function isGone(sha: string): boolean {
	changes.value;
	return isDenied(sha);
}

/**
 * wherePhoto tells how far record and bytes of a photo have both got; null where
 * that is not known: it was taken on another tablet and the shop was not asked yet.
 */
export function wherePhoto(p: Photo): Where | null {
	const record = whereIs(p.id);
	const row = rows.value.get(p.sha);
	if (row?.state === "held" || record === "tablet") return "tablet";
	const stands = standings.value.get(p.sha);
	if (!stands) ask(p.sha);
	if (!stands?.done) return row ? "shop" : stands ? "tablet" : null;
	return stands.backed && record === "backed" ? "backed" : "shop";
}

/** isElsewhere tells whether a photo is, as far as is known, on no machine but the tablet that took it. */
export const isElsewhere = (p: Photo): boolean =>
	rows.value.get(p.sha) === undefined && standings.value.get(p.sha)?.done === false;

const asking = new Set<string>();
const ASK_AGAIN_MS = 10_000;

function ask(sha: string): void {
	if (!downloads || asking.has(sha) || !isHeard(status.peek().link)) return;
	asking.add(sha);
	downloads.standing(sha).then(
		(state) => {
			standings.value = new Map([...standings.peek(), [sha, state]]);
			asking.delete(sha);
		},
		() => setTimeout(() => asking.delete(sha), ASK_AGAIN_MS),
	);
}

/** What a photo is taken for. */
export interface For {
	job: string;
	slot: string;
	of: string; // id of the record that the open form makes, "" when there is none
}

/**
 * keepPhoto resolves when the photo, its preview and its record are on the
 * tablet's disk. It rejects with NoPicture for what cannot be a photo, with NoRoom
 * where the tablet is full; the person is told and the form stays.
 */
export async function keepPhoto(file: Blob, to: For): Promise<void> {
	savingPhoto.value = to.slot;
	try {
		const { reduce } = await import("./reduce");
		const r = await reduce(file);
		await keepReduced(r, to);
		await endPhoto();
	} finally {
		savingPhoto.value = "";
	}
}

async function keepReduced(r: Reduced, { job, slot, of }: For): Promise<void> {
	const { photo, preview, turn } = r;
	const [w, h] = turn >= 5 ? [photo.h, photo.w] : [photo.w, photo.h];
	const small = preview && { sha: preview.sha, size: preview.bytes.length, w: preview.w, h: preview.h };
	const body = {
		...{ sha: photo.sha, size: photo.bytes.length, type: "image/jpeg", w, h },
		...(small && { preview: small }),
		...(of !== "" && { of }),
		...(turn !== 1 && { turn }),
		...{ taken: r.taken, ...signed() },
	};
	const bytes = [bytesOf(photo, "", job)];
	if (preview && preview.sha !== photo.sha) bytes.push(bytesOf(preview, photo.sha, job));
	const parts = [{ kind: "photo", job, slot, body }];
	try {
		await write(parts, [], bytes);
	} catch (err) {
		if (!(err instanceof NoRoom)) throw err;
		await uploads?.makeRoom(photo.bytes.length * 2, true);
		await write(parts, [], bytes);
	}
	putRow(...bytes.map((b) => b.row));
	uploads?.wake();
}

function bytesOf(p: Picture, of: string, job: string): PhotoBytes {
	const { sha, chunks, names, w, h } = p;
	const known = rows.peek().get(sha); // the same picture once more: what the shop has it need not get again
	const row: PhotoRow = {
		...{ sha, of, job, type: "image/jpeg", size: p.bytes.length, w, h, chunks: names },
		...{ state: known?.state ?? "held", at: running().env.now() },
	};
	return { row, chunks };
}

/** keepMark keeps a mark and returns what takes it back. */
export async function keepMark(
	p: Photo,
	shape: Shape,
	points: Places,
	words: string,
): Promise<() => Promise<void>> {
	const body = { photo: p.sha, shape, points, text: words, ...signed() };
	return once(`mark ${JSON.stringify(body)}`, async () => {
		const [made] = await write([{ kind: "mark", job: p.job, slot: p.slot, body }]);
		return async () => {
			if (made) await retract(p.job, [made.id]);
		};
	});
}

/** removeMark takes a mark back and returns what brings it back. */
export async function removeMark(job: string, id: string): Promise<() => Promise<void>> {
	const retracts = await retract(job, [id]);
	return async () => {
		await retract(job, retracts);
	};
}

/** takeOut hides a photo from where it stands and returns what brings it back. */
export async function takeOut(p: Photo): Promise<() => Promise<void>> {
	const same = has(p.job).photos.filter((q) => q.sha === p.sha && q.slot === p.slot);
	const retracts = await retract(
		p.job,
		same.map((q) => q.id),
	);
	return async () => {
		await retract(p.job, retracts);
	};
}

/** bringBackPhoto shows a photo again that was taken out, however long ago. */
export async function bringBackPhoto(p: Photo): Promise<void> {
	const around = running().held.slot(p.job, p.slot);
	const against = around.filter((r) => r.kind === "retract" && r.env.target === p.id);
	await retract(
		p.job,
		against.map((r) => r.id),
	);
}

/** takeOutForGood lets the bytes of a photo go everywhere. Nothing brings it back. */
export async function takeOutForGood(p: Photo, why: string): Promise<void> {
	await once(`deny ${p.sha}`, async () => {
		await write([{ kind: "deny", job: p.job, slot: p.slot, body: { sha: p.sha, why, ...signed() } }]);
		await tend();
	});
}

/** photoURL gives a picture to show, a preview or a whole photo; letGo says that it is shown no longer. */
export const photoURL = (sha: string): Signal<Shown> => gallery.show(sha);

/** letGo is for what photoURL gave. */
export const letGo = (sha: string): void => gallery.letGo(sha);

// find looks for the bytes of a picture here, then in the shop.
async function find(sha: string): Promise<ArrayBuffer[]> {
	if (isDenied(sha)) throw new Away(true);
	const { store } = running().env;
	const row = rows.peek().get(sha);
	const chunks = await Promise.all((row?.chunks ?? []).map((_, i) => store.chunk(sha, i)));
	const held = chunks.filter((b) => b !== null);
	if (row && held.length === row.chunks.length) return held;
	if (!downloads || !isHeard(status.peek().link)) throw new Error("the shop cannot be reached");
	return [await downloads.whole(sha)];
}

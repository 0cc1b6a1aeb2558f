// Claims about the tablet's database, for a page in a real browser. The page is
// loaded twice: what the first one kept is there for the second.

import { Database } from "../db";
import { Held } from "../held";
import { Clock, hold, newID, sha256 } from "../record";
import { type Keep, Known, Moved, NoRoom, type PhotoRow, START } from "../store";
import type { Stored } from "../types";
import { Writer } from "../writer";
import { claim, holds, refused, report, same, wait } from "./claim";
import "./pack.claims";

const open = (told: string[] = [], tight?: () => void) =>
	new Database(
		() => indexedDB,
		(sentence) => told.push(sentence),
		tight,
	);

const record = (id = newID(), body: unknown = 0): Promise<Stored> =>
	hold(JSON.stringify({ id, dev: "d", kind: "note", job: "j", slot: "s", hlc: "", body }), null);

const kept = (records: Stored[]): Keep => ({ records, at: 1, drop: [], meta: { n: 1 } });

// shim makes the next transactions throw, and notes how the others were asked for.
const real = IDBDatabase.prototype.transaction;
let throwing: { name: string; text?: string; times: number } = { name: "", times: 0 };
const asked: { stores: string; durability: string | undefined }[] = [];
IDBDatabase.prototype.transaction = function (stores, mode, options) {
	if (throwing.times > 0) {
		throwing.times--;
		throw new DOMException(throwing.text ?? "made to fail", throwing.name);
	}
	if (mode === "readwrite")
		asked.push({ stores: [stores].flat().join(" "), durability: options?.durability });
	return real.call(this, stores, mode, options);
};

// full makes every add and put refuse as a full disk does; with the spare gone, readings fit.
let full: "" | "but for readings" | "wholly" = "";
let isSpareGone = false;
for (const name of ["add", "put"] as const) {
	const write = IDBObjectStore.prototype[name];
	IDBObjectStore.prototype[name] = function (value, key) {
		const isPicture = ["chunks", "photos", "spare"].includes(this.name);
		if (full === "wholly" || (full !== "" && (isPicture || !isSpareGone)))
			throw new DOMException("made full", "QuotaExceededError");
		return write.call(this, value, key);
	};
}
const remove = IDBObjectStore.prototype.delete;
IDBObjectStore.prototype.delete = function (key) {
	if (this.name === "spare") isSpareGone = true;
	return remove.call(this, key);
};

const CHUNK = 262_144;

// picture makes a photo of random bytes.
async function picture(size: number): Promise<{ row: PhotoRow; chunks: ArrayBuffer[] }> {
	const bytes = new Uint8Array(size);
	for (let i = 0; i < size; i += 65_536) crypto.getRandomValues(bytes.subarray(i, i + 65_536));
	const chunks: ArrayBuffer[] = [];
	for (let i = 0; i < size; i += CHUNK) chunks.push(bytes.slice(i, i + CHUNK).buffer);
	const names = await Promise.all(chunks.map(sha256));
	const row = { of: "", job: "j", type: "image/jpeg", size, w: 4, h: 3, chunks: names, at: 1 };
	return { row: { ...row, sha: await sha256(bytes), state: "held" }, chunks };
}

const COUNT = 100;
const counted = (i: number) =>
	`${"a".repeat(22)}${String(1000 + i).replace(/\d/g, (d) => "abcdefghij".charAt(Number(d)))}`;

if (location.search === "?again") again();
else first();

function again(): void {
	claim("ST5: a photo of 12 MB has the same bytes after the page was loaded again", async () => {
		const db = open();
		const row = (await db.photoRows()).find((p) => p.size > 12_000_000);
		if (!row) throw new Error("the photo is gone");
		const bytes = new Uint8Array(row.size);
		for (let i = 0; i < row.chunks.length; i++) {
			const chunk = await db.chunk(row.sha, i);
			if (!(chunk instanceof ArrayBuffer)) throw new Error(`chunk ${i} is ${chunk}`);
			bytes.set(new Uint8Array(chunk), i * CHUNK);
		}
		same(await sha256(bytes), row.sha);
		same(await db.chunk(row.sha, row.chunks.length), null);
	});

	claim("ST7: of 100 readings kept one by one, each was there after the page's end", async () => {
		const ids = Array.from({ length: COUNT }, (_, i) => counted(i));
		same((await open().some(ids)).length, COUNT);
	});
}

function first(): void {
	claim(
		"ST8: an older version held open in another window is named at once, and its end lets this one go on",
		async () => {
			const frame = document.createElement("iframe");
			document.body.append(frame);
			const theirs = (frame.contentWindow as Window & typeof globalThis).indexedDB;
			const old = await record();
			const one = theirs.open("tubewright", 1);
			await new Promise((done, fail) => {
				one.onupgradeneeded = () => {
					const db = one.result;
					db.createObjectStore("records", { keyPath: "id" }).createIndex("job", "job");
					db.createObjectStore("outbox", { keyPath: "id" }).add({ id: old.id, at: 1 });
					db.createObjectStore("meta", { keyPath: "key" });
					db.createObjectStore("drafts", { keyPath: "key" });
					one.transaction?.objectStore("records").add(old);
				};
				one.onsuccess = done;
				one.onerror = () => fail(one.error);
			});
			const told: string[] = [];
			const started = performance.now();
			let isOpen = false;
			const reading = open(told).records();
			reading.then(() => {
				isOpen = true;
			});
			while (told.length === 0 && performance.now() - started < 1_000) await wait(10);
			holds(
				told.length === 1 && (told[0] as string).includes("close it"),
				`told ${JSON.stringify(told)} within 1 s`,
			);
			await wait(100);
			same(isOpen, false);
			one.result.close();
			same(await reading, [old]);
			same(await open().photoRows(), []);
			frame.remove();
		},
	);

	claim("what is kept is there for the next one who opens", async () => {
		const db = open();
		await db.putDrafts([{ key: "j s", text: "4", id: "x", at: 1 }], []);
		const r = await record();
		await db.keep({ ...kept([r]), drop: ["j s"] });
		const next = open();
		same(await next.some([r.id, newID()]), [r]);
		same((await next.outbox()).map((u) => u.id).includes(r.id), true);
		same(await next.drafts(), []);
		same((await next.meta()).n, 1);
		const older = (await next.outbox()).map((u) => u.id).filter((id) => id !== r.id);
		same(await next.unsent(1000, 1, new Set(older)), [{ id: r.id, raw: r.raw }]);
		same(await next.unsent(1000, 1000, new Set([...older, r.id])), []);
	});

	claim("one id is kept once, and a refused transaction leaves nothing", async () => {
		const db = open();
		const [a, b] = [await record(), await record()];
		await db.keep(kept([a]));
		const twin = await record(a.id, 1);
		holds((await refused(db.keep(kept([b, twin])))) instanceof Known, "not told that it is known");
		same(await db.some([a.id, b.id]), [a]);
	});

	claim("ST1: a connection found dead is replaced, once", async () => {
		const kinds = [
			{ name: "UnknownError" },
			{ name: "InvalidStateError" },
			{ name: "InvalidStateError", text: "The database connection is closing." },
		];
		for (const kind of kinds) {
			const { name } = kind;
			const db = open();
			const r = await record();
			throwing = { ...kind, times: 1 };
			await db.keep(kept([r]));
			same((await db.some([r.id])).length, 1, name);
			const lost = await record();
			throwing = { ...kind, times: 2 };
			same((await refused(db.keep(kept([lost])))).name, name);
			same(await db.some([lost.id]), [], name);
			await db.keep(kept([lost])); // the next try of the person
			same((await db.some([lost.id])).length, 1, name);
		}
		throwing = { name: "DataError", times: 1 };
		same((await refused(open().keep(kept([await record()])))).name, "DataError");
		same(throwing.times, 0);
	});

	claim("a page is taken where it starts and nowhere else", async () => {
		const db = open();
		same(await db.place(), START);
		const [mine, theirs] = [await record(), await record()];
		await db.keep(kept([mine]));
		const to = { cursor: 2, chain: "ab".repeat(32) };
		const echoed = [
			{ id: mine.id, pos: 1 },
			{ id: theirs.id, pos: 2 },
		];
		const page = { from: START, to, records: [{ ...theirs, pos: 2 }], own: [], echoed };
		await db.page(page);
		same(await db.place(), to);
		same(
			(await db.some([mine.id, theirs.id])).map((r) => r.pos),
			[1, 2],
		);
		holds(!(await db.outbox()).some((u) => u.id === mine.id), "the echo did not clear the outbox");
		const late = await record();
		holds((await refused(db.page({ ...page, records: [late] }))) instanceof Moved, "taken twice");
		same(await db.some([late.id]), []);
		await db.reoffer(5);
		same(await db.place(), START);
		const waiting = new Set((await db.outbox()).map((u) => u.id));
		holds(
			(await db.records()).every((r) => r.pos === null && waiting.has(r.id)),
			"a record was not offered again",
		);
	});

	claim("ST6: what is not finished is refused, and slow hashing ends no transaction", async () => {
		const db = open();
		const late = record();
		const id = (await late).id;
		await refused(db.keep(kept([late as unknown as Stored])));
		same(await db.some([id]), []);
		const { digest } = crypto.subtle;
		crypto.subtle.digest = async function (...of: Parameters<typeof digest>) {
			await wait(200);
			return digest.apply(this, of);
		};
		const w = new Writer(db, new Held(), new Clock("d", Date.now), Date.now, 0);
		const records = await w.make([{ kind: "note", job: "j", slot: "s", body: { text: "slow" } }]);
		await w.keep(records);
		crypto.subtle.digest = digest;
		same((await db.some(records.map((r) => r.id))).length, 1);
	});

	claim(
		"a photo and its record are kept together or not at all, and its bytes can go before its row",
		async () => {
			const db = open();
			const photo = await picture(3 * CHUNK - 5);
			const twin = await record();
			await db.keep(kept([twin]));
			const other = await record();
			await refused(db.keep({ ...kept([other, twin]), photos: [photo] }));
			same([await db.photoRows(), await db.chunk(photo.row.sha, 0)], [[], null]);
			await db.keep({ ...kept([other]), photos: [photo] });
			same(await db.photoRows(), [photo.row]);
			same((await db.chunk(photo.row.sha, 2))?.byteLength, CHUNK - 5);
			await db.setPhoto({ ...photo.row, state: "sent" });
			await db.dropChunks(photo.row.sha);
			same([(await db.photoRows())[0]?.state, await db.chunk(photo.row.sha, 0)], ["sent", null]);
			await db.putPhoto(photo.row, photo.chunks);
			same((await db.chunk(photo.row.sha, 0))?.byteLength, CHUNK);
		},
	);

	claim("ST9: the spare makes way for readings, once; photos are refused with a sentence", async () => {
		let tight = 0;
		const db = open([], () => tight++);
		same(await db.spare(), true);
		isSpareGone = false;
		full = "but for readings";
		const photo = await picture(1000);
		const [of, r] = [await record(), await record()];
		const why = await refused(db.keep({ ...kept([of]), photos: [photo] }));
		holds(why instanceof NoRoom && why.message.includes("readings are still saved"), why.message);
		same([isSpareGone, tight], [false, 0], "the spare made way for a photo");
		await db.keep(kept([r]));
		same([isSpareGone, tight, (await db.some([of.id, r.id])).length], [true, 1, 1]);
		same(await db.spare(), false);
		holds((await refused(db.putPhoto(photo.row, photo.chunks))) instanceof NoRoom, "a photo of the shop");
		full = "wholly";
		same((await refused(db.keep(kept([await record()])))).name, "QuotaExceededError");
		full = "";
		same(await db.spare(), true);
		await db.keep({ ...kept([of]), photos: [photo] });
	});

	claim("ST4: the outbox is mended from the records", async () => {
		const db = open();
		const [a, b] = [await record(), await record()];
		await db.keep(kept([a, b]));
		const raw = indexedDB.open("tubewright");
		await new Promise((done) => {
			raw.onsuccess = done;
		});
		const tx = raw.result.transaction(["records", "outbox"], "readwrite", { durability: "strict" });
		tx.objectStore("records").delete(a.id);
		tx.objectStore("outbox").delete(b.id);
		await new Promise((done) => {
			tx.oncomplete = done;
		});
		raw.result.close();
		const ids = new Set((await db.mend(7)).map((u) => u.id));
		same([ids.has(a.id), ids.has(b.id)], [false, true]);
	});

	claim("ST7: every write asks for the disk, but for a photo of the shop's", () => {
		const relaxed = asked.filter((a) => a.durability !== "strict").map((a) => a.stores);
		holds(asked.length > 15 && relaxed.every((s) => s === "photos chunks"), `${relaxed}`);
	});

	claim("ST5: a photo of 12 MB is kept", async () => {
		const photo = await picture(12_000_123);
		await open().keep({ ...kept([await record()]), photos: [photo] });
	});

	claim("ST7: 100 readings are kept one by one", async () => {
		const db = open();
		for (let i = 0; i < COUNT; i++) await db.keep(kept([await record(counted(i))]));
	});

	claim("ST8: a newer version elsewhere gets the way free and the person is told", async () => {
		const told: string[] = [];
		const apart = { open: (name: string, v?: number) => indexedDB.open(`apart ${name}`, v) } as IDBFactory;
		const db = new Database(
			() => apart,
			(sentence) => told.push(sentence),
		);
		await db.meta();
		const newer = apart.open("tubewright", 3);
		await new Promise((done, fail) => {
			newer.onsuccess = done;
			newer.onblocked = () => fail(new Error("blocked"));
			newer.onerror = () => fail(newer.error);
		});
		await wait(50);
		newer.result.close();
		same(told, ["this app was updated in another window: load this one again"]);
		same((await refused(db.keep(kept([await record()])))).name, "VersionError");
	});
}

await report();

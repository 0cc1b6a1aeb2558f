// Claims about the tablet's database, for a page in a real browser.

import { Database } from "../db";
import { hold, newID } from "../record";
import { type Keep, Known, Moved, START } from "../store";
import type { Stored } from "../types";
import { claim, holds, refused, report, same, wait } from "./claim";

const open = (told: string[] = []) =>
	new Database(
		() => indexedDB,
		(sentence) => told.push(sentence),
	);

const record = (id = newID(), body: unknown = 0): Promise<Stored> =>
	hold(JSON.stringify({ id, dev: "d", kind: "note", job: "j", slot: "s", hlc: "", body }), null);

const kept = (records: Stored[]): Keep => ({ records, at: 1, drop: [], meta: { n: 1 } });

// shim makes the next transactions throw, and tells how many were asked for strictly.
const real = IDBDatabase.prototype.transaction;
let throwing: { name: string; times: number } = { name: "", times: 0 };
const asked: (string | undefined)[] = [];
IDBDatabase.prototype.transaction = function (stores, mode, options) {
	if (throwing.times > 0) {
		throwing.times--;
		throw new DOMException("made to fail", throwing.name);
	}
	if (mode === "readwrite") asked.push(options?.durability);
	return real.call(this, stores, mode, options);
};

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
	same(await next.unsent(1000, 1, new Set()), [{ id: r.id, raw: r.raw }]);
	same(await next.unsent(1000, 1000, new Set([r.id])), []);
});

claim("one id is kept once, and a refused transaction leaves nothing", async () => {
	const db = open();
	const [a, b] = [await record(), await record()];
	await db.keep(kept([a]));
	const twin = await record(a.id, 1);
	holds((await refused(db.keep(kept([b, twin])))) instanceof Known, "not told that it is known");
	same(await db.some([a.id, b.id]), [a]);
});

claim("a connection found dead is replaced, once", async () => {
	for (const name of ["UnknownError", "InvalidStateError"]) {
		const db = open();
		const r = await record();
		throwing = { name, times: 1 };
		await db.keep(kept([r]));
		same((await db.some([r.id])).length, 1, name);
		const lost = await record();
		throwing = { name, times: 2 };
		same((await refused(db.keep(kept([lost])))).name, name);
		same(await db.some([lost.id]), [], name);
		await db.keep(kept([lost])); // the next try of the person
		same((await db.some([lost.id])).length, 1, name);
	}
	throwing = { name: "QuotaExceededError", times: 1 };
	same((await refused(open().keep(kept([await record()])))).name, "QuotaExceededError");
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

claim("every write asks for the disk", () => {
	holds(asked.length > 5 && asked.every((d) => d === "strict"), `${asked}`);
});

claim("a newer version elsewhere gets the way free and the person is told", async () => {
	const told: string[] = [];
	const db = open(told);
	await db.meta();
	const newer = indexedDB.open("tubewright", 2);
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

await report();

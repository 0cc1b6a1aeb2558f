import { kinds, stepOf } from "../fields";
import { SHOP } from "../held";
import { hold, newID } from "../record";
import * as state from "../state";
import { Known } from "../store";
import type { ReadingInput } from "../types";
import { claim, holds, refused, same, wait } from "./claim";
import { Disk, Memory } from "./memory";

const WIDTH: ReadingInput = {
	text: "41.3",
	unit: "mm",
	v: 41_300_000,
	res: 100_000,
	quantity: "length",
	tool: "caliper",
};
const other = (text: string, v: number): ReadingInput => ({ ...WIDTH, text, v });
const SLOT = "port/p1/width";

async function setUp(
	disk = new Disk(),
	ask: (kind: string, question: object) => Promise<string> = () => Promise.reject(new Error("no wasm")),
) {
	const store = new Memory(disk);
	const wires = await state.start({
		store,
		ask,
		now: Date.now,
		hash: () => "",
		setHash: () => {},
		grown: () => {},
		tell: () => {},
		noted: () => {},
		struck: async () => {},
		build: "b",
	});
	return { store, disk, wires };
}

const standing = (job: string) => state.readingsOf(job, SLOT).map((r) => `${r.text} ${r.standing}`);

claim("each kind of the field table is entered in one step, and what is left to do counts in one", () => {
	const of = (step: string) => Object.keys(kinds).filter((k) => stepOf(k) === step);
	same(of("intake").sort(), ["engine", "job", "shop", "target"]);
	const compared = ["pattern", "hole", "opening", "spot", "print"];
	same(of("measure").sort(), ["bank", "bolt", "plug", "port", "rim", ...compared].sort());
	same(of("layout").sort(), ["crook", "element", "mark", "tube"]);
	holds(of("around").includes("collector"), "the collector is around");
	same([stepOf("tube"), stepOf("port/p1/width"), stepOf("tube/t1/od")], ["layout", "measure", "layout"]);
});

claim("five quick taps on keep make one record", async () => {
	const { disk } = await setUp();
	const form = await state.openForm("j", SLOT);
	await Promise.all(Array.from({ length: 5 }, () => state.keepReading(form, WIDTH)));
	await state.keepReading(form, WIDTH);
	same([...disk.records.keys()], [form.id]);
	same(state.status.value.unsent, 1);
	same(state.whereIs(form.id), "tablet");
});

claim("another value on a kept form is a new reading over the first", async () => {
	await setUp();
	const form = await state.openForm("j", SLOT);
	await state.keepReading(form, WIDTH);
	await state.keepReading(form, other("41.4", 41_400_000));
	same(standing("j"), ["41.4 head", "41.3 replaced"]);
});

claim("an edit names the readings shown when its form opened, and no later ones", async () => {
	await setUp();
	await state.keepReading(await state.openForm("j", SLOT), WIDTH);
	const edit = await state.openForm("j", SLOT);
	const beside = await state.openForm("j", SLOT);
	await state.keepReading(beside, other("42", 42_000_000));
	await state.keepReading(edit, other("43", 43_000_000));
	same(standing("j").sort(), ["41.3 replaced", "42 head", "43 head"]);
});

claim("saved is not said while the disk refuses, and the same record goes on later", async () => {
	const { store, disk } = await setUp();
	const form = await state.openForm("j", SLOT);
	const { id } = form;
	state.saveDraft(form.key, "41.3", form);
	store.broken = new Error("QuotaExceededError");
	same((await refused(state.keepReading(form, WIDTH))).message, "QuotaExceededError");
	same([state.status.value.storage, state.status.value.storageError], ["failing", "QuotaExceededError"]);
	same(state.readingsOf("j", SLOT).length, 0);
	same(state.readDraft(form.key), "41.3");
	store.broken = null;
	same(await state.keepReading(form, WIDTH), "saved");
	same([...disk.records.keys()], [id]);
	same(state.status.value.storage, "ok");
	same(state.readDraft(form.key), "");
});

claim("a write that was kept although it was reported lost is not kept twice", async () => {
	const { store, disk } = await setUp();
	const form = await state.openForm("j", SLOT);
	const keep = store.keep;
	store.keep = async (k) => {
		await keep(k);
		throw new Error("connection lost");
	};
	await refused(state.keepReading(form, WIDTH));
	store.keep = keep;
	same(await state.keepReading(form, WIDTH), "saved");
	same(disk.records.size, 1);
});

claim(
	"SY7: a half-typed text comes back after a kill with the name of its form and makes a record of its own",
	async () => {
		const { disk } = await setUp();
		const form = await state.openForm("j", SLOT);
		state.go({ screen: "measure", job: "j", slot: SLOT });
		state.saveDraft(form.key, "1 5/", form);
		await state.flushDrafts();
		await wait(0);
		await setUp(disk.copy());
		same(state.route.value, { screen: "measure", job: "j", slot: SLOT });
		const again = await state.openForm("j", SLOT);
		same([again.name, again.draft], [form.name, "1 5/"]);
		holds(
			again.id !== form.id,
			"a copy of this tablet goes on with the same text: two records would have one id",
		);
		state.go({ screen: "jobs" });
	},
);

claim("a draft that another window has kept with another value becomes a second record", async () => {
	const { disk, store } = await setUp();
	const form = await state.openForm("j", SLOT);
	const twin = { ...form };
	await state.keepReading(twin, WIDTH);
	const keep = store.keep;
	store.keep = (k) =>
		k.records.some((r) => disk.records.has(r.id)) ? Promise.reject(new Known("held")) : keep(k);
	await state.keepReading(form, other("42", 42_000_000));
	same(disk.records.size, 2);
	holds(form.id !== twin.id, "one id for two values");
	same(standing("j"), ["41.3 head", "42 head"]);
});

claim("a text typed while the one before is being kept is not lost", async () => {
	await setUp();
	const form = await state.openForm("j", SLOT);
	state.saveDraft(form.key, "41.3", form);
	const keeping = state.keepReading(form, WIDTH);
	await null;
	state.saveDraft(form.key, "41.35", form);
	await keeping;
	same(state.readDraft(form.key), "41.35");
});

for (const when of ["before its save began", "while it was saved"])
	claim(`a draft that is written by a slow storage ${when} does not come back after it`, async () => {
		const { disk, store } = await setUp();
		const form = await state.openForm("j", SLOT);
		const { keep, putDrafts } = store;
		store.keep = async (k) => {
			await keep(k);
			await wait(400); // longer than the pause after the last key
		};
		store.putDrafts = async (put, drop) => {
			await wait(when.startsWith("before") ? 200 : 0);
			await putDrafts(put, drop);
		};
		state.saveDraft(form.key, "41.3", form);
		if (when.startsWith("before")) void state.flushDrafts();
		await state.keepReading(form, WIDTH);
		same(state.readDraft(form.key), "");
		same([...disk.drafts.keys()], []);
	});

claim("a draft whose save failed is written", async () => {
	const { disk, store } = await setUp();
	const form = await state.openForm("j", SLOT);
	const { keep } = store;
	store.keep = async () => {
		await wait(400);
		throw new Error("connection lost");
	};
	state.saveDraft(form.key, "41.3", form);
	await refused(state.keepReading(form, WIDTH));
	store.keep = keep;
	await wait(350);
	same(
		[...disk.drafts.values()].map((d) => d.text),
		["41.3"],
	);
});

claim("a choice puts aside what was shown, and a later choice takes its place", async () => {
	const { disk } = await setUp();
	const [a, b] = [await state.openForm("j", SLOT), await state.openForm("j", SLOT)];
	await state.keepReading(a, WIDTH);
	await state.keepReading(b, other("42", 42_000_000));
	const form = await state.openForm("j", SLOT);
	await Promise.all([1, 2, 3].map(() => state.choose(form, a.id)));
	same(disk.records.size, 3);
	same(standing("j"), ["41.3 head", "42 aside"]);
	await state.choose(await state.openForm("j", SLOT), b.id);
	same(standing("j"), ["42 head", "41.3 aside"]);
});

claim("a list keeps its order, and taking out can be undone", async () => {
	const { store } = await setUp();
	const job = await state.newJob("Invented job");
	const before = store.writes;
	const bank = await state.addEntity(job, "bank", "", { material: "321" });
	same(store.writes, before + 1, "transactions for one entry");
	const first = await state.addEntity(job, "bolt", bank, { x: { ...WIDTH, text: "0", v: 0 } });
	const third = await state.addEntity(job, "bolt", bank, {});
	const second = await state.addEntity(job, "bolt", bank, {}, { after: first });
	const ids = () => state.listOf(job, "bolt", bank).map((b) => b.id);
	same(ids(), [first, second, third]);
	const undo = await state.removeEntity(job, "bolt", second);
	same(ids(), [first, third]);
	await undo();
	same(ids(), [first, second, third]);
	same(state.noteText(job, "job/self/name"), "Invented job");
});

claim("an entry that was moved and then removed stays out until it is brought back", async () => {
	await setUp();
	const job = await state.newJob("Invented job");
	const ids = () => state.listOf(job, "bolt", "A").map((e) => e.id);
	const first = await state.addEntity(job, "bolt", "A", {});
	const second = await state.addEntity(job, "bolt", "A", {});
	const form = await state.openForm(job, `bolt/${second}/order`);
	const word = { unit: "word", v: 0, res: 0, quantity: "word", tool: "" } as const;
	await state.keepReading(form, { ...word, text: "1" });
	same(ids(), [second, first]);
	const undo = await state.removeEntity(job, "bolt", second);
	same(ids(), [first]);
	await undo();
	same(ids(), [second, first]);
});

claim("jobs are listed by name while the calculation does not run", async () => {
	await setUp();
	await state.newJob("Invented job");
	same(
		state.jobs.value.map((j) => [j.name, j.missing]),
		[["Invented job", null]],
	);
	await wait(200);
	same(state.calc.value, { busy: false, error: "no wasm" });
});

claim("an answer to older records is not shown as the current one", async () => {
	const answers: ((text: string) => void)[] = [];
	await setUp(new Disk(), (kind) => new Promise((answer) => kind === "view" && answers.push(answer)));
	state.go({ screen: "job", job: "j" });
	await wait(200);
	same(answers.length, 1);
	await state.keepReading(await state.openForm("j", SLOT), WIDTH);
	answers[0]?.('{"hash":"old"}');
	await wait(0);
	same([state.view.value?.hash, state.view.value?.stale], ["old", true]);
	await wait(200);
	answers[1]?.('{"hash":"new"}');
	await wait(0);
	same([state.view.value?.hash, state.view.value?.stale], ["new", false]);
	await state.keepReading(await state.openForm("j", SLOT), other("42", 42_000_000));
	same(state.view.value?.stale, true);
	state.go({ screen: "jobs" });
	same(state.view.value, null);
});

claim("the shop's own job is in no list, goes along with every job, and makes its view old", async () => {
	const asked: { op: string; job?: string; records: string[] }[] = [];
	let isOver = false; // what was set up goes on listening
	await setUp(new Disk(), (_, q) => {
		asked.push(q as { op: string; job?: string; records: string[] });
		return isOver ? Promise.reject(new Error("over")) : Promise.resolve("[]");
	});
	const of = (op: string) => asked.filter((q) => q.op === op).at(-1);
	const job = await state.newJob("Invented job");
	state.go({ screen: "job", job });
	await state.addEntity(SHOP, "stock", "", { type: "bend" });
	same(state.view.value?.stale ?? true, true);
	await wait(200);
	same(
		state.jobs.value.map((j) => j.id),
		[job],
	);
	const jobsIn = (q?: { records: string[] }) => [...new Set(q?.records.map((r) => JSON.parse(r).job))].sort();
	same([of("view")?.job, jobsIn(of("view")), jobsIn(of("jobs"))], [job, [job, SHOP].sort(), [job]]);
	same(state.view.value?.stale, false);
	await state.addEntity(SHOP, "stock", "", { type: "length" });
	same(state.view.value?.stale, true);
	state.go({ screen: "list", job: SHOP });
	await wait(200);
	same([of("view")?.job, jobsIn(of("view"))], [SHOP, [SHOP]]);
	isOver = true;
});

claim("a record read back is in the shop, and backed up when the backup has passed it", async () => {
	const { wires } = await setUp();
	const form = await state.openForm("j", SLOT);
	await state.keepReading(form, WIDTH);
	wires.fed([], [], [{ id: form.id, pos: 7 }]);
	same([state.whereIs(form.id), state.status.value.unsent], ["shop", 0]);
	wires.backed(6);
	same(state.whereIs(form.id), "shop");
	wires.backed(7);
	same(state.whereIs(form.id), "backed");
	await wires.reoffered();
	same(state.whereIs(form.id), "tablet");
});

claim("a value that is not a whole number is refused", async () => {
	await setUp();
	const form = await state.openForm("j", SLOT);
	for (const v of [0.5, Number.NaN, 2 ** 53]) await refused(state.keepReading(form, { ...WIDTH, v }));
});

claim("a text longer than the shop takes is refused and can be shortened", async () => {
	const { disk } = await setUp();
	const why = await refused(state.keepNote("j", "job/self/customer", "x".repeat(70_000)));
	holds(why.message.includes("allowed up to 65536"), why.message);
	same(await state.keepNote("j", "job/self/customer", "x"), "saved");
	same(disk.records.size, 1);
});

claim("what another window learned of the shop holds here too, the loss of a record as well", async () => {
	const { disk, store, wires } = await setUp();
	const form = await state.openForm("j", SLOT);
	await state.keepReading(form, WIDTH);
	const { cursor, chain } = disk.place;
	const page = { from: { cursor, chain }, to: { cursor: 1, chain }, records: [], own: [] };
	await store.page({ ...page, echoed: [{ id: form.id, pos: 1 }] });
	await wires.reread([form.id]);
	same([state.whereIs(form.id), state.status.value.unsent], ["shop", 0]);
	await store.reoffer(1);
	await wires.reread([form.id]);
	same([state.whereIs(form.id), state.status.value.unsent], ["tablet", 1]);
});

claim("a kept record that this window never heard of comes in when it is read back", async () => {
	const { disk, wires } = await setUp();
	const body = { text: "41.3", unit: "mm", nm: 41_300_000, res: 100_000 };
	const head = { id: newID(), dev: "d", n: 1, hlc: "", kind: "reading", job: "unheard", slot: SLOT, sv: 1 };
	const r = await hold(JSON.stringify({ ...head, body }), 3);
	disk.records.set(r.id, r);
	wires.fed([], [], [{ id: r.id, pos: 3 }]);
	await wait(0);
	same([standing("unheard"), state.whereIs(r.id)], [["41.3 head"], "shop"]);
});

claim("a calculation that did not answer in time is asked again by itself", async () => {
	let asked = 0;
	await setUp(new Disk(), async (kind) => {
		if (kind === "view" && ++asked === 1)
			throw new Error("the calculation took more than 5 s and was stopped");
		return kind === "view" ? '{"hash":"h"}' : "[]";
	});
	const form = await state.openForm("j", SLOT);
	await state.keepReading(form, WIDTH);
	state.go({ screen: "job", job: "j" });
	await wait(500);
	same([asked, state.view.value], [1, null]);
	await wait(2_200);
	same([asked, state.view.value?.hash], [2, "h"]);
	state.go({ screen: "jobs" });
});

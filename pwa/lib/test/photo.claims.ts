import { running, write } from "../core";
import { beginPhoto, endPhoto, photoIntent } from "../intent";
import * as photos from "../photos";
import { newID } from "../record";
import * as state from "../state";
import type { PhotoBytes } from "../store";
import { Uploads } from "../uploads";
import { Blobs, picture } from "./blobs";
import { claim, holds, random, same, wait } from "./claim";
import { Disk, Memory } from "./memory";
import { started } from "./started";

// Time that only passes when it is told to.
class Clock {
	now = 1_000_000;
	private timers: { at: number; act: () => void }[] = [];

	after = (ms: number, act: () => void) => {
		const t = { at: this.now + ms, act };
		this.timers.push(t);
		return () => {
			this.timers = this.timers.filter((x) => x !== t);
		};
	};

	pass(ms: number): void {
		const to = this.now + ms;
		for (;;) {
			const next = this.timers.sort((a, b) => a.at - b.at)[0];
			if (!next || next.at > to) break;
			this.timers.shift();
			this.now = next.at;
			next.act();
		}
		this.now = to;
	}
}

async function setUp(pictures: PhotoBytes[], rnd: () => number = () => 0.5) {
	const shop = new Blobs();
	const disk = new Disk();
	for (const p of pictures) disk.photos.set(p.row.sha, p);
	const store = new Memory(disk);
	const clock = new Clock();
	const says = { waiting: -1, sentence: "", sent: [] as string[], denied: new Set<string>() };
	const world = { isLinked: true, unsent: 0 };
	const uploads = new Uploads(
		{
			...{ fetch: shop.fetch, now: () => clock.now, random: rnd, after: clock.after },
			...{ isLinked: () => world.isLinked, unsent: () => world.unsent },
		},
		store,
		{
			progress: (waiting, sentence) => Object.assign(says, { waiting, sentence }),
			sent: (sha) => says.sent.push(sha),
			trouble: (err) => {
				throw err;
			},
		},
		(sha) => says.denied.has(sha),
	);
	const states = () => [...disk.photos.values()].map((p) => p.row.state);
	return { shop, disk, store, clock, says, world, uploads, states };
}

// rest waits until nothing is on its way any more.
async function rest(shop: Blobs): Promise<void> {
	for (let quiet = 0; quiet < 5; quiet = shop.inFlight === 0 ? quiet + 1 : 0) await wait(2);
}

claim(
	"PH5: uploads cut before or after any request end with the same bytes in the shop, none sent twice",
	async () => {
		for (let seed = 1; seed <= 6; seed++) {
			const rnd = random(seed);
			const all = [await picture(900_000), await picture(30_000, "x", 2), await picture(262_144, "", 3)];
			const { shop, clock, uploads, states, says } = await setUp(all, rnd);
			let cuts = 0;
			shop.fault = () => {
				if (rnd() > 0.35) return;
				cuts++;
				throw new TypeError("the network broke off");
			};
			uploads.wake();
			for (let i = 0; i < 400 && states().some((s) => s === "held"); i++) {
				await wait(1);
				clock.pass(1_000);
			}
			await rest(shop);
			same(states(), ["sent", "sent", "sent"], `seed ${seed}, after ${cuts} cuts`);
			for (const { row, chunks } of all) {
				const want = await new Blob(chunks).arrayBuffer();
				same([...new Uint8Array(shop.done.get(row.sha) ?? [])].length, want.byteLength, `seed ${seed}`);
			}
			same(shop.twice, 0, `seed ${seed}: chunks sent although the shop had them`);
			same(says.waiting, 0, `seed ${seed}`);
			holds(cuts > 0, `seed ${seed}: nothing was cut`);
		}
	},
);

claim("previews go before photos, the oldest first, and two requests at most are on their way", async () => {
	const photo = await picture(700_000, "", 1);
	const all = [photo, await picture(9_000, "", 4), await picture(8_000, photo.row.sha, 5)];
	const { shop, uploads, states } = await setUp(all);
	for (let i = 0; i < 5; i++) uploads.wake();
	await rest(shop);
	same(states(), ["sent", "sent", "sent"]);
	const order = shop.asked.filter((a) => a.endsWith("manifest")).map((a) => a.slice(4, 10));
	same(order[0], all[2]?.row.sha.slice(0, 6), "first");
	same(order[1], photo.row.sha.slice(0, 6), "second");
	same(shop.most, 2);
});

claim("readings go first, unless nothing moves", async () => {
	const { shop, clock, world, uploads, states } = await setUp([await picture(9_000)]);
	world.unsent = 3;
	uploads.wake();
	await rest(shop);
	for (let i = 0; i < 10; i++) {
		world.unsent = 3 - (i % 2); // they do move
		clock.pass(5_000);
		await rest(shop);
	}
	same(shop.asked, []);
	clock.pass(25_000);
	await rest(shop);
	same(states(), ["sent"]);
});

claim("a full shop pauses photos with its sentence, and they go on when there is room", async () => {
	const { shop, clock, says, uploads, states } = await setUp([await picture(9_000)]);
	shop.isFull = true;
	uploads.wake();
	await rest(shop);
	same([says.sentence, says.waiting], ["the shop machine has no room for photos", 1]);
	const { length } = shop.asked;
	clock.pass(50_000);
	await rest(shop);
	same(shop.asked.length, length, "asked again at once");
	shop.isFull = false;
	clock.pass(20_000);
	await rest(shop);
	same([states(), says.sentence], [["sent"], ""]);
});

claim("what the shop denies loses its bytes here and is not offered again", async () => {
	const p = await picture(9_000);
	const { shop, disk, uploads } = await setUp([p]);
	shop.denied.add(p.row.sha);
	uploads.wake();
	await rest(shop);
	same(disk.photos.get(p.row.sha)?.chunks, []);
	const { length } = shop.asked;
	uploads.wake();
	await rest(shop);
	same(shop.asked.length, length);
});

claim("a photo taken out for good on this tablet is never sent", async () => {
	const p = await picture(9_000);
	const { shop, says, uploads } = await setUp([p]);
	says.denied.add(p.row.sha);
	uploads.wake();
	await rest(shop);
	same(shop.asked, []);
});

claim("a photo that the shop does not give back alike does not count as sent", async () => {
	const { shop, says, uploads, states } = await setUp([await picture(9_000)]);
	shop.isLying = true;
	uploads.wake();
	await rest(shop);
	same(states(), ["held"]);
	holds(says.sentence.includes("other bytes"), says.sentence);
});

claim("bytes that went bad on the tablet are not sent", async () => {
	const p = await picture(9_000);
	new Uint8Array(p.chunks[0] as ArrayBuffer).fill(7, 0, 4);
	const { shop, says, uploads, states } = await setUp([p]);
	uploads.wake();
	await rest(shop);
	same([states(), shop.done.size], [["held"], 0]);
	holds(says.sentence.includes("damaged"), says.sentence);
});

claim("a hidden page sends nothing and goes on when it is shown", async () => {
	const { shop, uploads, states } = await setUp([await picture(900_000)]);
	uploads.wake();
	await wait(1);
	uploads.visible(false);
	await rest(shop);
	const { length } = shop.asked;
	same(states(), ["held"]);
	uploads.wake();
	await rest(shop);
	same(shop.asked.length, length);
	uploads.visible(true);
	await rest(shop);
	same(states(), ["sent"]);
});

claim("a shop that was put back gets the photos again that it had", async () => {
	const p = await picture(9_000);
	const { shop, uploads, states } = await setUp([p]);
	uploads.wake();
	await rest(shop);
	shop.done.clear();
	shop.parts.clear();
	await uploads.reset();
	await rest(shop);
	same([states(), shop.done.has(p.row.sha)], [["sent"], true]);
});

claim("only what is backed up makes room by itself, previews never", async () => {
	const [a, b] = [await picture(9_000, "", 1), await picture(9_000, "", 2)];
	const small = await picture(900, a.row.sha, 0);
	const { shop, disk, uploads } = await setUp([a, b, small]);
	uploads.wake();
	await rest(shop);
	shop.backed.add(b.row.sha);
	await uploads.makeRoom(1e9, false);
	const left = () => [a, b, small].map((p) => disk.photos.get(p.row.sha)?.chunks.length);
	same(left(), [1, 0, 1]);
	await uploads.makeRoom(1e9, true);
	same(left(), [0, 0, 1]);
});

async function tablet(disk = new Disk()) {
	const store = new Memory(disk);
	await started(store);
	return { disk, store };
}

const SLOT = "port/p1/width";

async function take(of: string, slot = SLOT, sha = "a".repeat(64)): Promise<string> {
	const preview = { sha: "b".repeat(64), size: 9, w: 4, h: 3 };
	const body = {
		sha,
		size: 99,
		type: "image/jpeg",
		w: 40,
		h: 30,
		preview,
		of,
		taken: "",
		person: "R",
		at: "",
	};
	const [r] = await write([{ kind: "photo", job: "j", slot, body }]);
	return r?.id ?? "";
}

claim(
	"PH1: a photo begun is there after the app was thrown away, on its page and with the name of its form",
	async () => {
		const { disk } = await tablet();
		const form = await state.openForm("j", SLOT);
		const route = { screen: "measure", job: "j", slot: SLOT };
		await beginPhoto({ job: "j", slot: SLOT, of: form.id, route });
		photoIntent.value = null; // thrown away: only the disk knows
		await tablet(disk.copy());
		same(photoIntent.peek()?.of, form.id);
		same(state.route.value, route);
		same((await state.openForm("j", SLOT)).name, form.name, "the form");
		holds((await state.openForm("j", "port/p1/height")).name !== form.name, "another form has the name");
		await endPhoto();
		holds(
			(await state.openForm("j", SLOT)).name !== form.name,
			"a photo that was given up still holds the name",
		);
	},
);

claim(
	"PH1: a form goes on under the name that its photo was taken for, until a reading is kept",
	async () => {
		const { disk } = await tablet();
		await endPhoto();
		const form = await state.openForm("j", SLOT);
		await take(form.id);
		await tablet(disk.copy());
		const again = await state.openForm("j", SLOT);
		same(again.name, form.name);
		const word = { text: "D", unit: "word", v: 0, res: 0, quantity: "word" as const, tool: "" };
		await state.keepReading(again, word);
		same(
			photos.photosFor("j", SLOT, again.id).map((p) => p.of),
			[form.name],
			"photos of the reading",
		);
		holds((await state.openForm("j", SLOT)).name !== form.name, "a spent name is given again");
	},
);

claim("a photo taken out can be brought back; taken out for good it cannot, with its preview", async () => {
	await tablet();
	const sha = "c".repeat(64);
	await take("", "port/p1/photo", sha);
	const [p] = photos.photosOf("j", "port/p1/photo");
	if (!p) throw new Error("it is not there");
	const undo = await photos.takeOut(p);
	same([photos.photosOf("j").length, photos.takenOut("j").length], [0, 1]);
	await undo();
	same([photos.photosOf("j").length, photos.takenOut("j").length], [1, 0]);
	await photos.takeOut(p);
	await photos.bringBackPhoto(p);
	same(photos.photosOf("j").length, 1);
	await photos.takeOutForGood(p, "test");
	same([photos.photosOf("j").length, photos.isGone(sha), photos.isGone("b".repeat(64))], [0, true, true]);
	const denies = running()
		.held.job("j")
		.filter((r) => r.kind === "deny");
	await state.retract(
		"j",
		denies.map((r) => r.id),
	);
	same(photos.isGone(sha), true, "a deny that was taken back");
});

claim("marks stand on their photo, and what is no mark or photo is passed over", async () => {
	await tablet();
	await take("", SLOT, "d".repeat(64));
	const [p] = photos.photosOf("j", SLOT);
	if (!p) throw new Error("it is not there");
	const undo = await photos.keepMark(p, "arrow", [1, 2, 3, 4], "");
	await photos.keepMark(p, "text", [5, 6, 5, 6], "here");
	for (const body of [
		{ photo: p.sha, shape: "star", points: [1, 2, 3, 4] },
		{ photo: p.sha, shape: "line", points: [1, 2, 3] },
		null,
	])
		await write([{ kind: "mark", job: "j", slot: SLOT, body }]);
	for (const body of [{ sha: "d", size: 1, w: 1, h: 1 }, { sha: "e".repeat(64), size: "1", w: 1, h: 1 }, 7])
		await write([{ kind: "photo", job: "j", slot: SLOT, body }]);
	same(
		photos.marksOf("j", p.sha).map((m) => [m.shape, m.points, m.text]),
		[
			["arrow", [1, 2, 3, 4], ""],
			["text", [5, 6, 5, 6], "here"],
		],
	);
	await undo();
	same(photos.marksOf("j", p.sha).length, 1);
	same(photos.photosOf("j", SLOT).length, 1);
});

claim("one picture twice on one thing is shown once", async () => {
	await tablet();
	await take(newID());
	await take(newID());
	same(photos.photosOf("j", SLOT).length, 1);
});

import { read } from "../feed";
import { chain, hold, newID, sha256 } from "../record";
import { Moved, START } from "../store";
import { type Met, Sync } from "../sync";
import type { Stored } from "../types";
import { claim, holds, random, same, wait } from "./claim";
import { Disk, Memory } from "./memory";
import { Link, Shop } from "./shop";

function setUp() {
	const shop = new Shop(sha256);
	const world = {
		now: 0,
		timers: [] as { at: number; act: () => void }[],
		opened: [] as number[],
		link: [] as string[],
	};
	const notices: string[] = [];
	const asides: string[][] = [];
	const backed: number[] = [];
	const offsets: number[] = [];
	const met: Met[] = [];
	const barred: string[] = [];
	const putAside: [number, number, string][] = [];
	const who = { token: "" };
	const rnd = random(3);
	const disk = new Disk();
	const store = new Memory(disk);
	const none = () => {};
	const sync = new Sync(
		{
			socket: () => {
				world.opened.push(world.now);
				const link = new Link();
				shop.links.push(link);
				return link;
			},
			now: () => world.now,
			random: rnd,
			after: (ms, act) => {
				const t = { at: world.now + ms, act };
				world.timers.push(t);
				return () => {
					world.timers = world.timers.filter((x) => x !== t);
				};
			},
		},
		store,
		() => ({ dev: "d", name: "", build: "b", unsent: disk.outbox.size, token: who.token }),
		{
			heard: none,
			offset: (ms) => offsets.push(ms),
			build: none,
			backed: (pos) => backed.push(pos),
			photos: none,
			met: (m) => met.push(m),
			barred: (why) => barred.push(why),
			putAside: (...said) => putAside.push(said),
			fed: none,
			reread: async () => {},
			reoffered: async () => {},
			notice: (n) => notices.push(n),
			aside: (list) => asides.push(list.map((a) => a.id)),
			link: (l) => world.link.push(l),
		},
	);
	const at = async (to: number) => {
		for (;;) {
			const next = world.timers.sort((a, b) => a.at - b.at)[0];
			if (!next || next.at > to) break;
			world.timers.shift();
			world.now = next.at;
			next.act();
			await wait(0);
		}
		world.now = to;
	};
	// flow lets frames pass until there are none.
	const flow = async (page = 10) => {
		const link = shop.links.at(-1) as Link;
		if (link.state === "opening") {
			link.state = "open";
			link.onopen?.();
		}
		for (let quiet = 0; quiet < 20; quiet++) {
			await wait(1);
			for (let text = link.up.shift(); text !== undefined; text = link.up.shift()) {
				quiet = 0;
				await shop.take(link, text);
			}
			shop.feed(page);
			for (let data = link.down.shift(); data !== undefined; data = link.down.shift()) {
				quiet = 0;
				link.onmessage?.({ data });
			}
		}
		return link;
	};
	const keep = async (id: string, body: unknown) => {
		const r = await hold(
			JSON.stringify({ id, dev: "d", kind: "note", job: "j", slot: "s", hlc: "", body }),
			null,
		);
		await store.keep({ records: [r], at: 1, drop: [], meta: {} });
		return r;
	};
	const told = { notices, asides, backed, offsets, met, barred, putAside };
	return { shop, world, ...told, disk, store, sync, at, flow, keep, who };
}

claim("SY12: a socket without any frame for 25 s is given up", async () => {
	const { sync, world, flow, at } = setUp();
	sync.start();
	await flow();
	same(world.link.at(-1), "live");
	await at(24_999);
	same(world.link.at(-1), "live");
	await at(25_000);
	same(world.link.at(-1), "offline");
});

claim("SY12: retries come after random times of 0.5 to 20 s, longer and longer", async () => {
	const { sync, world, at } = setUp();
	sync.start();
	await at(900_000); // no socket ever opens; each is given up after 8 s
	const waits = world.opened.map((t, i) => t - (world.opened[i - 1] ?? 0) - 8_000).slice(1);
	holds(waits.length > 30, `${waits.length} tries in 15 minutes`);
	holds(
		waits.every((w) => w >= 500 && w <= 20_000),
		`waits ${waits}`,
	);
	holds((waits[0] as number) <= 1_000 && Math.max(...waits) > 15_000, `waits ${waits}`);
});

claim("SY12: a hidden page keeps its socket for 30 s and opens a new one when shown", async () => {
	const { sync, world, flow, at } = setUp();
	sync.start();
	const first = await flow();
	sync.visible(false);
	await at(20_000);
	await flow();
	await at(29_999);
	same(first.state, "open");
	await at(30_000);
	same(first.state, "cut");
	await at(200_000);
	same(world.opened.length, 1);
	sync.visible(true);
	same(world.opened.length, 2);
	await flow();
	same(world.link.at(-1), "live");
	sync.visible(true);
	same(world.opened.length, 3, "becoming visible opens a new socket, the old may be dead:");
});

claim("at most two pushes are on their way", async () => {
	const { sync, shop, flow, keep } = setUp();
	sync.start();
	const link = await flow();
	for (let i = 0; i < 20; i++) await keep(newID(), i);
	sync.grown();
	const pushes = () => link.up.filter((f) => f.includes('"push"')).length;
	for (let i = 0; i < 1000 && pushes() < 2; i++) await wait(1);
	await wait(20);
	same(pushes(), 2);
	await flow();
	same(shop.high(), 20);
});

claim("SY12: a frame of a socket that was given up changes nothing", async () => {
	const { sync, flow, disk, shop } = setUp();
	sync.start();
	const old = await flow();
	const late = old.onmessage;
	sync.visible(true);
	await flow();
	late?.({ data: JSON.stringify({ t: "reset", build: "x", now_ms: 0, high: 9, backup_pos: 0 }) });
	await flow();
	same(disk.place.cursor, shop.high());
});

claim("another record under the same id lets both go on", async () => {
	const { sync, shop, flow, keep, disk } = setUp();
	const id = newID();
	const theirs = JSON.stringify({
		id,
		dev: "copy",
		kind: "note",
		job: "j",
		slot: "s",
		hlc: "",
		body: "theirs",
	});
	const other = new Link();
	other.sent = 0;
	await shop.take(other, JSON.stringify({ t: "push", recs: [theirs] }));
	const mine = await keep(id, "mine");
	sync.start();
	await flow();
	same(disk.records.get(id)?.raw, theirs);
	const bodies = shop.log.map((l) => JSON.parse(l.raw).body);
	same(bodies, ["theirs", "mine"]);
	same([disk.outbox.size, disk.place.cursor], [0, 2]);
	holds(mine.raw !== shop.log[1]?.raw, "the copy has an id of its own");
});

claim("SY7: a record whose id was taken goes on once, however many tablets hold it", async () => {
	const text = (id: string, body: string) =>
		JSON.stringify({ id, dev: "d", n: 1, hlc: "", kind: "note", job: "j", slot: "s", sv: 1, body });
	const id = newID();
	const [mine, theirs] = [await hold(text(id, "mine"), null), await hold(text(id, "theirs"), null)];
	const sum = await chain(START.chain, id, theirs.h);
	const page = { t: "feed" as const, from: 0, recs: [theirs.raw], to: 1, chain: sum };
	const holding = (list: Stored[]) => async (ids: string[]) => list.filter((r) => ids.includes(r.id));
	const here = await read(page, START, holding([mine]));
	const there = await read(page, START, holding([mine]));
	same(here.own.length, 1);
	same(here.own, there.own);
	const known = here.own[0] as Stored;
	same((await read(page, START, holding([mine, known]))).own, []); // read back before
	const later = { ...page, recs: [theirs.raw, known.raw], to: 2, chain: await chain(sum, known.id, known.h) };
	same((await read(later, START, holding([mine]))).own, []); // comes with the same page
});

claim(
	"what the shop said when it ended the link is gone at the next welcome and at the first try that fails",
	async () => {
		for (const comesBack of [true, false]) {
			const { sync, shop, flow, at, world, notices } = setUp();
			sync.start();
			const link = await flow();
			link.onmessage?.({ data: JSON.stringify({ t: "bye", why: "shutdown", text: "being shut down" }) });
			await wait(1);
			same(notices.at(-1), "being shut down");
			const tries = world.opened.length;
			await at(world.now + 30_000);
			holds(world.opened.length > tries, "it tries again");
			if (comesBack) await flow();
			else (shop.links.at(-1) as Link).onerror?.();
			same(notices.at(-1), "", comesBack ? "welcome:" : "failed try:");
		}
	},
);

claim("what the shop refuses stays here and holds up nothing", async () => {
	const { sync, shop, flow, keep, disk, notices } = setUp();
	const bad = newID();
	await keep(bad, 0);
	const take = shop.take.bind(shop);
	shop.take = async (link, text) => {
		const f = JSON.parse(text);
		if (f.t !== "push") return take(link, text);
		const refused = f.recs.flatMap((raw: string) =>
			raw.includes(bad) ? { id: bad, text: "needs the role bench" } : [],
		);
		await take(link, JSON.stringify({ ...f, recs: f.recs.filter((raw: string) => !raw.includes(bad)) }));
		if (refused.length > 0)
			link.down.push(JSON.stringify({ t: "ack", ids: [], pos: 0, quarantined: [], refused }));
	};
	for (let i = 0; i < 9; i++) await keep(newID(), i);
	sync.start();
	await flow();
	same(shop.high(), 9);
	same([...disk.outbox.keys()], [bad]);
	const said = () => notices.filter((n) => n.includes("role bench")).length;
	same(said(), 1);
	sync.visible(true); // on the next socket it is offered once more, and said once more
	await flow();
	same([said(), disk.outbox.size], [2, 1]);
});

claim("a log that cannot be read on is asked for at a slower and slower pace", async () => {
	const { sync, shop, world, flow, at } = setUp();
	const other = new Link();
	other.sent = 0;
	const raw = JSON.stringify({ id: newID(), dev: "x", kind: "note", job: "j", slot: "s", hlc: "", body: 0 });
	await shop.take(other, JSON.stringify({ t: "push", recs: [raw] }));
	shop.chainAt = (pos) => (pos === 0 ? "0" : "f").repeat(64);
	sync.start();
	for (let i = 0; i < 12; i++) {
		await flow();
		await at(Math.min(...world.timers.map((t) => t.at)));
	}
	const waits = world.opened.map((t, i) => t - (world.opened[i - 1] ?? 0)).slice(1);
	holds(Math.max(...waits) > 5_000, `waits ${waits}`);
});

claim("a reset that answers a pull tells nothing of the clocks", async () => {
	const { sync, world, offsets, flow } = setUp();
	sync.start();
	const link = await flow();
	same(offsets.length, 1);
	world.now += 3_600_000;
	link.onmessage?.({ data: JSON.stringify({ t: "reset", build: "b", now_ms: 0, high: 0, backup_pos: 0 }) });
	await flow();
	same(offsets.length, 1);
});

claim("a refused text without an id is found by its place in the push", async () => {
	const { sync, shop, flow, keep, disk, asides } = setUp();
	const bad = newID();
	await keep(newID(), 1);
	await keep(bad, 2);
	await keep(newID(), 3);
	shop.take = async function (link, text) {
		const f = JSON.parse(text);
		if (f.t !== "push") return Shop.prototype.take.call(this, link, text);
		const rec = f.recs.findIndex((raw: string) => raw.includes(bad));
		const recs = f.recs.filter((raw: string) => !raw.includes(bad));
		await Shop.prototype.take.call(this, link, JSON.stringify({ ...f, recs }));
		const ack = JSON.parse(link.down.at(-1) ?? "");
		if (rec >= 0) link.down.push(JSON.stringify({ ...ack, refused: [{ rec, id: "", text: "no record" }] }));
		if (rec >= 0) link.down.splice(-2, 1);
	};
	sync.start();
	await flow();
	same([shop.high(), [...disk.outbox.keys()], asides.at(-1)], [2, [bad], [bad]]);
});

claim("the backup's position moves with the heartbeats, and only when it changes", async () => {
	const { sync, world, flow, at, shop, backed } = setUp();
	sync.start();
	const link = await flow();
	const take = shop.take.bind(shop);
	let pos = 0;
	shop.take = async (to, text) => {
		await take(to, text);
		const last = to.down.at(-1);
		if (JSON.parse(text).t === "hb" && last)
			to.down[to.down.length - 1] = JSON.stringify({ ...JSON.parse(last), backup_pos: pos });
	};
	for (pos of [0, 0, 4, 4, 9]) {
		await at(world.now + 10_000);
		await flow();
	}
	same(link.state, "open");
	same(backed, [0, 4, 9]);
});

claim("SY9: pages whose handling takes any time end in the shop's state", async () => {
	const rnd = random(9);
	const { sync, shop, flow, disk, store } = setUp();
	const some = store.some;
	let n = 0;
	store.some = async (ids) => {
		if (n++ % 2 === 1) await wait(rnd() * 8);
		return some(ids);
	};
	const other = new Link();
	other.sent = 0;
	const link = await flowing();
	for (let i = 0; i < 30; i++) {
		const raw = JSON.stringify({
			id: newID(),
			dev: "x",
			kind: "note",
			job: "j",
			slot: "s",
			hlc: "",
			body: i,
		});
		await shop.take(other, JSON.stringify({ t: "push", recs: [raw] }));
		shop.feed(1 + Math.floor(rnd() * 3));
		for (let data = link.down.shift(); data !== undefined; data = link.down.shift()) {
			link.onmessage?.({ data });
			if (rnd() < 0.3) link.onmessage?.({ data }); // and again
		}
	}
	for (let i = 0; i < 40 && disk.place.cursor < 30; i++) await flow();
	same([disk.records.size, disk.place.cursor, disk.place.chain], [30, 30, shop.chainAt(30)]);

	async function flowing(): Promise<Link> {
		sync.start();
		return flow();
	}
});

claim("TL7: the token goes up in the hello alone, and only where there is one", async () => {
	const { sync, shop, flow, who, keep } = setUp();
	const frames: string[] = [];
	const take = shop.take.bind(shop);
	shop.take = async (link, text) => {
		frames.push(text);
		await take(link, text);
	};
	sync.start();
	await flow();
	holds(!frames.join().includes('"token"'), frames.join());
	who.token = "t".repeat(43);
	await keep(newID(), 1);
	sync.renew();
	await flow();
	same(
		frames.filter((f) => f.includes(who.token)).map((f) => JSON.parse(f).t),
		["hello"],
	);
});

claim(
	"TL8: a tablet that is not let in keeps everything, says so once and asks again a minute later",
	async () => {
		const { sync, world, flow, keep, disk, barred, at, shop } = setUp();
		await keep(newID(), 1);
		sync.start();
		const link = await flowTo("token");
		same([barred, link.state, world.link.at(-1), disk.outbox.size], [["token"], "cut", "offline", 1]);
		await at(world.now + 60_000);
		same(world.opened.length, 1);
		await at(world.now + 21_000);
		same(world.opened.length, 2);
		sync.renew(); // paired meanwhile
		shop.take = Shop.prototype.take;
		await flow();
		same([disk.outbox.size, world.link.at(-1)], [0, "live"]);

		async function flowTo(why: string): Promise<Link> {
			shop.take = async (to, text) => {
				if (JSON.parse(text).t === "hello") to.down.push(JSON.stringify({ t: "bye", why, text: "no" }));
			};
			return flow();
		}
	},
);

claim("TL8: a revoked tablet sends each record once a socket, keeps all and stays quiet", async () => {
	const { sync, world, flow, keep, disk, met, putAside, asides, notices, shop, at } = setUp();
	for (let i = 0; i < 30; i++) await keep(newID(), i);
	let pushed = 0;
	shop.take = async (to, text) => {
		const f = JSON.parse(text);
		if (f.t === "hello") {
			const head = { build: "b", now_ms: 0, high: f.cursor, backup_pos: 0, role: "measure", name: "Yard" };
			to.down.push(JSON.stringify({ t: "welcome", ...head, revoked: true, limits: { push_records: 7 } }));
		}
		if (f.t === "hb") to.down.push(JSON.stringify({ t: "hb", n: f.n, now_ms: 0 }));
		if (f.t !== "push") return;
		pushed += f.recs.length;
		const ids = f.recs.map((raw: string) => JSON.parse(raw).id);
		// what the log holds already is acked as ever
		to.down.push(JSON.stringify({ t: "ack", ids: ids.slice(0, 1), pos: 0, quarantined: ids.slice(1) }));
	};
	sync.start();
	const link = await flow();
	same(met, [{ role: "measure", name: "Yard", isRevoked: true }]);
	same([pushed, putAside.at(-1), disk.outbox.size, disk.records.size], [30, [30, 0, ""], 30, 30]);
	same([asides.flat(), notices.filter((n) => n !== "")], [[], []], "none is called not taken:");
	for (let i = 0; i < 5; i++) {
		await at(world.now + 10_000);
		await flow();
	}
	same([link.state, pushed], ["open", 30], "it is not taken for stuck:");
});

claim(
	"TL8: what there is no room for in the shop is told apart, kept, and sent again on the next link",
	async () => {
		const { sync, world, flow, keep, disk, putAside, asides, shop, at } = setUp();
		for (let i = 0; i < 8; i++) await keep(newID(), i);
		let room = 5;
		shop.take = async (to, text) => {
			const f = JSON.parse(text);
			if (f.t === "hello") {
				const head = { build: "b", now_ms: 0, high: f.cursor, backup_pos: 0, role: "measure", name: "Yard" };
				to.down.push(JSON.stringify({ t: "welcome", ...head, revoked: true, limits: { push_records: 200 } }));
			}
			if (f.t !== "push") return;
			const ids = f.recs.map((raw: string) => JSON.parse(raw).id);
			const refused = ids
				.slice(room)
				.map((id: string, i: number) => ({ rec: room + i, id, text: "no room" }));
			to.down.push(JSON.stringify({ t: "ack", ids: [], pos: 0, quarantined: ids.slice(0, room), refused }));
		};
		sync.start();
		const link = await flow();
		same([putAside.at(-1), disk.outbox.size, asides.flat()], [[5, 3, "no room"], 8, []]);
		room = 8;
		link.onmessage?.({ data: JSON.stringify({ t: "bye", why: "resync", text: "taken in" }) });
		await at(world.now + 21_000);
		await flow();
		same([putAside.at(-1), disk.outbox.size], [[8, 0, ""], 8]);
	},
);

claim("TL8: a tablet that is revoked while it is live comes back soon to send what it holds", async () => {
	const { sync, world, flow, at, barred } = setUp();
	sync.start();
	const link = await flow();
	link.onmessage?.({ data: JSON.stringify({ t: "bye", why: "revoked", text: "off the list" }) });
	await flow();
	same(barred, ["revoked"]);
	await at(world.now + 21_000);
	same(world.opened.length, 2);
});

claim("ST12: what another window has read on from the shop is no longer on its way", async () => {
	const { sync, world, shop, store, disk, flow, keep } = setUp();
	for (let i = 0; i < 5; i++) await keep(newID(), i); // two pushes, of 3 and 2
	sync.start();
	const { page } = store;
	store.page = () => {
		store.page = page; // the other window was quicker, and has read all of the log
		Object.assign(disk.meta, { cursor: shop.high(), chain: shop.chainAt(shop.high()) });
		disk.outbox.clear();
		return Promise.reject(new Moved("elsewhere"));
	};
	await flow(3);
	same([shop.high(), disk.outbox.size], [5, 0]);
	same(world.link.at(-1), "live");
});

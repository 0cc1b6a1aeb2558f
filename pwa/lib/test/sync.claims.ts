import { hold, newID, sha256 } from "../record";
import { Sync } from "../sync";
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
	const offsets: number[] = [];
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
		() => ({ dev: "d", name: "", build: "b", unsent: disk.outbox.size }),
		{
			heard: none,
			offset: (ms) => offsets.push(ms),
			build: none,
			backed: none,
			photos: none,
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
	const flow = async () => {
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
			shop.feed(10);
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
	return { shop, world, notices, asides, offsets, disk, store, sync, at, flow, keep };
}

claim("a socket without any frame for 25 s is given up", async () => {
	const { sync, world, flow, at } = setUp();
	sync.start();
	await flow();
	same(world.link.at(-1), "live");
	await at(24_999);
	same(world.link.at(-1), "live");
	await at(25_000);
	same(world.link.at(-1), "offline");
});

claim("retries come after random times of 0.5 to 20 s, longer and longer", async () => {
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

claim("a hidden page keeps its socket for 30 s and opens a new one when shown", async () => {
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

claim("a frame of a socket that was given up changes nothing", async () => {
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

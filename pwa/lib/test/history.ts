// Random histories of a few tablets and the shop with everything going wrong,
// and what must hold when the faults have stopped. The letters are those of the
// sync design: I1 convergence, I2 no loss, I3 exactly once, I6 prefix, I7 bytes,
// I9 progress.

import { encode, hold, newID, sha256 } from "../record";
import { Sync } from "../sync";
import { holds, random, same } from "./claim";
import { Disk, Memory } from "./memory";
import { Link, Shop } from "./shop";

class Tablet {
	disk = new Disk();
	store!: Memory;
	link: Link | null = null;
	shown = new Map<string, string>(); // what a person saw as saved
	private sync!: Sync;
	private timers: { at: number; act: () => void }[] = [];
	private life = 0;
	private n = 0;

	constructor(
		readonly name: string,
		private shop: Shop,
		private rnd: () => number,
		private clock: { now: number },
	) {
		this.begin();
	}

	/** begin starts the program on what is on the disk; the one before it is dead. */
	begin(): void {
		if (this.store) this.store.writesLeft = 0;
		this.link?.cut(false);
		this.timers = [];
		const life = ++this.life;
		this.store = new Memory(this.disk, (list) => {
			for (let i = list.length - 1; i > 0; i--) {
				const j = Math.floor(this.rnd() * (i + 1));
				[list[i], list[j]] = [list[j] as never, list[i] as never];
			}
			return list;
		});
		const nothing = () => {};
		const told = {
			link: nothing,
			heard: nothing,
			offset: nothing,
			build: nothing,
			backed: nothing,
			photos: nothing,
			notice: nothing,
			aside: nothing,
			met: nothing,
			barred: nothing,
			putAside: nothing,
		};
		this.sync = new Sync(
			{
				socket: () => {
					if (life !== this.life) throw new Error("killed");
					this.link?.cut(false);
					this.link = new Link();
					this.shop.links.push(this.link);
					return this.link;
				},
				now: () => this.clock.now,
				random: this.rnd,
				after: (ms, act) => {
					const t = { at: this.clock.now + ms, act };
					if (life === this.life) this.timers.push(t);
					return () => {
						this.timers = this.timers.filter((x) => x !== t);
					};
				},
			},
			this.store,
			() => ({ dev: this.name, name: this.name, build: "b", unsent: this.disk.outbox.size, token: "" }),
			{ ...told, fed: nothing, reread: async () => {}, reoffered: async () => {} },
		);
		this.sync.start();
	}

	async keep(): Promise<void> {
		const n = ++this.n;
		const raw = encode({
			id: newID(),
			dev: this.name,
			n,
			hlc: "",
			kind: "note",
			job: "j",
			slot: "s",
			sv: 1,
			body: n,
		});
		const r = await hold(raw, null);
		try {
			await this.store.keep({ records: [r], at: n, drop: [], meta: {} });
		} catch {
			return; // the screen says NOT SAVED
		}
		this.shown.set(r.id, raw);
		this.sync.grown();
	}

	/** due runs the timers whose time has come. */
	due(): void {
		const now = this.timers.filter((t) => t.at <= this.clock.now);
		this.timers = this.timers.filter((t) => t.at > this.clock.now);
		for (const t of now) t.act();
	}

	/** rest resolves when nothing is being handled. */
	async rest(): Promise<void> {
		const held = this.sync as unknown as { queue: Promise<void> };
		for (let q: Promise<void> | null = null; q !== held.queue; ) {
			q = held.queue;
			await q;
		}
	}
}

/** history lives through one random history and rejects with the invariant that broke. */
export async function history(seed: number): Promise<void> {
	const rnd = random(seed);
	const pick = (n: number) => Math.floor(rnd() * n);
	const clock = { now: 1_000_000 };
	const shop = new Shop(sha256);
	const tablets = ["a", "b", "c"].slice(0, 2 + pick(2)).map((name) => new Tablet(name, shop, rnd, clock));

	const deliver = async (t: Tablet, side: "up" | "down") => {
		const { link } = t;
		if (!link || link.state === "cut") return;
		if (link.state === "opening") {
			link.state = "open";
			link.onopen?.();
		} else if (side === "up") {
			const text = link.up.shift();
			if (text === undefined) return;
			await shop.take(link, text);
			if (rnd() < 0.1) await shop.take(link, text.includes('"t":"push"') ? text : "{}"); // repeated
		} else {
			const data = link.down.shift();
			if (data !== undefined) link.onmessage?.({ data });
		}
		await t.rest();
	};

	for (let step = 0; step < 160; step++) {
		const t = tablets[pick(tablets.length)] as Tablet;
		const dice = rnd();
		if (dice < 0.15) await t.keep();
		else if (dice < 0.45) await deliver(t, "up");
		else if (dice < 0.75) await deliver(t, "down");
		else if (dice < 0.87) shop.feed(1 + pick(3));
		else if (dice < 0.93) clock.now += pick(12_000);
		else if (dice < 0.96) t.link?.cut(rnd() < 0.7);
		else if (dice < 0.975) t.store.writesLeft = pick(3);
		else if (dice < 0.985) t.begin();
		else if (dice < 0.995) shop.crash(rnd() < 0.5 ? shop.high() : pick(shop.high() + 1), rnd() < 0.7);
		else await shop.take(new Link(), "{}");
		for (const x of tablets) x.due();
		for (const x of tablets) await x.rest();
	}

	for (const t of tablets) t.begin();
	const isLevel = () => tablets.every((t) => t.disk.outbox.size === 0 && t.disk.place.cursor === shop.high());
	for (let round = 0; !isLevel(); round++) {
		holds(round < 400, `I9: not level after ${round} quiet rounds`);
		for (const t of tablets) {
			await deliver(t, "up");
			await deliver(t, "down");
		}
		shop.feed(3);
		clock.now += 200;
		for (const t of tablets) t.due();
		for (const t of tablets) await t.rest();
	}

	const log = new Map(shop.log.map((l) => [l.id, l.raw]));
	same(log.size, shop.log.length, "I3: ids in the log");
	for (const t of tablets) {
		for (const [id, raw] of t.shown)
			holds(log.get(id) === raw, `I2: ${t.name}: saved record ${id} is not in the shop`);
		same(t.disk.place.chain, shop.chainAt(shop.high()), `I6: ${t.name}: chain`);
		same(t.disk.records.size, log.size, `I1: ${t.name}: records`);
		shop.log.forEach((l, i) => {
			const r = t.disk.records.get(l.id);
			holds(r?.raw === l.raw, `I7: ${t.name}: record ${l.id} has other bytes`);
			same(r?.pos, i + 1, `I6: ${t.name}: position of ${l.id}`);
		});
	}
}

// Claims about the ways to the shop: requests that end by themselves, frames over
// requests, which way is taken, and which of several windows takes it.

import { Carrier } from "../carrier";
import { Poll } from "../poll";
import { hold, newID, sha256 } from "../record";
import { within } from "../request";
import { type Socket, Sync } from "../sync";
import { Turn } from "../turn";
import { claim, holds, refused, same, wait } from "./claim";
import { Disk, Memory } from "./memory";
import { Link, Shop } from "./shop";

claim("SY12: a request ends by itself, whatever hangs", async () => {
	const deaf = () => new Promise<string>(() => {}); // does not even listen to the signal
	same((await refused(within(5, null, deaf))).name, "AbortError");
	const ended = new AbortController();
	const hanging = refused(within(60_000, ended.signal, deaf));
	ended.abort();
	same((await hanging).name, "AbortError");
	same((await refused(within(60_000, ended.signal, deaf))).name, "AbortError", "after the end");
	same(await within(1000, null, async () => "there"), "there");
});

// Requests are answered by the model of the shop behind one link.
class Desk {
	asked: string[] = [];
	link: Link | null = null;
	waiting: (() => void)[] = [];
	atOnce = { up: 0, down: 0, most: 0 };
	isGone = false;

	constructor(readonly shop: Shop) {}

	fetch = async (path: string, init: RequestInit): Promise<Response> => {
		this.asked.push(path);
		const what = path.replace("/sync/", "");
		const id = new Headers(init.headers).get("Tubewright-Link");
		if (init.method !== "POST") return new Response("", { status: 405 });
		if (what === "open") {
			this.link = new Link();
			this.link.state = "open";
			this.shop.links.push(this.link);
			await this.shop.take(this.link, String(init.body));
			return new Response('{"link":"abc"}');
		}
		if (this.isGone || id !== "abc" || !this.link) return new Response('{"why":"link"}', { status: 404 });
		if (what === "up") {
			this.count("up", 1);
			await wait(1);
			for (const frame of String(init.body).split("\n")) await this.shop.take(this.link, frame);
			this.count("up", -1);
			return new Response(null, { status: 204 });
		}
		this.count("down", 1);
		for (let i = 0; i < 20 && this.link.down.length === 0; i++) {
			await wait(1);
			this.shop.feed(10);
		}
		this.count("down", -1);
		return new Response(this.link.down.splice(0).join("\n"));
	};

	private count(way: "up" | "down", by: number): void {
		this.atOnce[way] += by;
		this.atOnce.most = Math.max(this.atOnce.most, this.atOnce[way]);
	}
}

const none = () => {};

function syncOver(socket: () => Socket, disk = new Disk()) {
	const links: string[] = [];
	const sync = new Sync(
		{
			socket,
			now: Date.now,
			random: () => 0,
			after: (ms, act) => {
				const t = setTimeout(act, ms);
				return () => clearTimeout(t);
			},
		},
		new Memory(disk),
		() => ({ dev: "d", name: "", build: "b", unsent: 0, token: "" }),
		{
			heard: none,
			offset: none,
			build: none,
			backed: none,
			fed: none,
			reread: async () => {},
			reoffered: async () => {},
			notice: none,
			aside: none,
			photos: none,
			met: none,
			barred: none,
			putAside: none,
			link: (l) => links.push(l),
		},
	);
	return { sync, links, disk };
}

const record = (id: string, body: unknown) =>
	JSON.stringify({ id, dev: "x", kind: "note", job: "j", slot: "s", hlc: "", body });

claim("frames over requests make the tablet live, and records come and go", async () => {
	const desk = new Desk(new Shop(sha256));
	const other = new Link();
	other.sent = 0;
	await desk.shop.take(other, JSON.stringify({ t: "push", recs: [record(newID(), "theirs")] }));
	const { sync, links, disk } = syncOver(() => new Poll(desk.fetch));
	const mine = await hold(record(newID(), "mine"), null);
	disk.records.set(mine.id, mine);
	disk.outbox.set(mine.id, 1);
	sync.start();
	for (let i = 0; i < 300 && !(links.at(-1) === "live" && disk.outbox.size === 0); i++) await wait(5);
	same([links.at(-1), desk.shop.high(), disk.records.size, disk.outbox.size], ["live", 2, 2, 0]);
	same(desk.atOnce.most, 1, "requests of one direction at once");
	sync.stop();
	await wait(10);
	same(desk.asked.filter((p) => p === "/sync/close").length, 1);
});

claim("a link that the shop no longer knows is a closed socket, told once", async () => {
	const desk = new Desk(new Shop(sha256));
	const poll = new Poll(desk.fetch);
	let closed = 0;
	poll.onclose = () => closed++;
	await new Promise<void>((done) => {
		poll.onopen = done;
	});
	poll.send(JSON.stringify({ t: "hello", cursor: 0, chain: "0".repeat(64) }));
	await wait(10);
	same(closed, 0);
	desk.isGone = true;
	poll.send(JSON.stringify({ t: "hb", n: 1 }));
	await wait(50);
	same(closed, 1);
	holds((await refused(Promise.resolve().then(() => poll.send("x")))) instanceof Error, "sent after the end");
});

claim("frames that wait go up together, in their order, within what one request holds", async () => {
	const bodies: string[] = [];
	const poll = new Poll(async (path, init) => {
		bodies.push(String(init.body));
		await wait(2);
		if (path === "/sync/down") return new Promise<Response>(() => {});
		return new Response(path === "/sync/open" ? '{"link":"abc"}' : null, {
			status: path === "/sync/open" ? 200 : 204,
		});
	});
	poll.send("hello");
	const big = "x".repeat(600_000);
	for (const f of ["a", "b", big, big, "c"]) poll.send(f);
	const sent = () => bodies.filter((b) => b !== "" && b !== "hello");
	for (let i = 0; i < 200 && sent().length < 2; i++) await wait(5);
	poll.close();
	const ups = sent();
	same(
		ups.map((b) => b.split("\n").map((f) => f.length)),
		[
			[1, 1, 600_000],
			[600_000, 1],
		],
	);
});

// A world of sockets that are decided about by hand.
class Wire implements Socket {
	onopen: (() => void) | null = null;
	onmessage: ((e: { data: unknown }) => void) | null = null;
	onclose: (() => void) | null = null;
	onerror: (() => void) | null = null;
	isClosed = false;
	constructor(readonly kind: "socket" | "poll") {}
	send(): void {}
	close(): void {
		this.isClosed = true;
	}
}

function ways() {
	const made: Wire[] = [];
	const timers: { ms: number; act: () => void }[] = [];
	let better = 0;
	const make = (kind: "socket" | "poll") => () => {
		const w = new Wire(kind);
		made.push(w);
		return w;
	};
	const carrier = new Carrier({
		socket: make("socket"),
		poll: make("poll"),
		after: (ms, act) => {
			const t = { ms, act };
			timers.push(t);
			return () => {
				if (timers.includes(t)) timers.splice(timers.indexOf(t), 1);
			};
		},
		better: () => better++,
	});
	const fail = () => made.at(-1)?.onclose?.();
	const speak = () => made.at(-1)?.onmessage?.({ data: "{}" });
	return { carrier, made, timers, fail, speak, better: () => better };
}

claim(
	"two sockets in a row that bring no frame lead to requests, and back when those do not go either",
	() => {
		const { carrier, made, fail, speak } = ways();
		carrier.open();
		speak();
		fail(); // a socket that spoke and ended is no reason
		for (let i = 0; i < 2; i++) {
			carrier.open();
			fail();
		}
		carrier.open();
		same(
			made.map((w) => w.kind),
			["socket", "socket", "socket", "poll"],
		);
		speak();
		fail();
		carrier.open();
		same(made.at(-1)?.kind, "poll", "a link that worked and ended");
		fail();
		carrier.open();
		same(made.at(-1)?.kind, "socket", "requests did not go either");
		fail();
		carrier.open();
		same(made.at(-1)?.kind, "poll");
	},
);

claim("beside requests the socket is tried every ten minutes and when the page is shown", () => {
	const { carrier, made, timers, fail, speak, better } = ways();
	for (let i = 0; i < 2; i++) {
		carrier.open();
		fail();
	}
	carrier.open();
	speak();
	const poll = made.at(-1);
	same(
		timers.map((t) => t.ms),
		[600_000],
	);
	timers[0]?.act();
	same(made.at(-1)?.kind, "socket");
	fail();
	same([better(), poll?.isClosed], [0, false], "a trial that fails disturbs nothing");
	carrier.shown();
	const trial = made.at(-1);
	trial?.onopen?.();
	same([better(), trial?.isClosed], [1, true]);
	carrier.open();
	same(made.at(-1)?.kind, "socket");
});

// Locks as the standard says, for several windows in one program. A window hears
// of what became of its request some time after it is so, and of a lock that was
// taken from it later than the one who took it hears of that, as in Chromium.
class Locks {
	private holder: { lose: (err: Error) => void } | null = null;
	private queue: (() => void)[] = [];

	request = (_name: string, options: LockOptions, act: () => Promise<unknown>): Promise<unknown> =>
		new Promise((resolve, reject) => {
			const grant = () => {
				this.holder = { lose: (err) => void wait(4).then(() => reject(err)) };
				void wait(2).then(act).then(resolve, reject);
			};
			if (options.steal) {
				this.holder?.lose(new DOMException("stolen", "AbortError"));
				grant();
			} else if (this.holder) {
				this.queue.push(grant);
				options.signal?.addEventListener("abort", () => {
					this.queue = this.queue.filter((g) => g !== grant);
					reject(new DOMException("aborted", "AbortError"));
				});
			} else grant();
		});

	closeHolder(): void {
		this.holder = null;
		this.queue.shift()?.();
	}
}

claim(
	"ST12: the window that is shown takes the turn, the other is quiet until it is shown or alone",
	async () => {
		const locks = new Locks();
		const said: string[] = [];
		const window = (name: string) =>
			new Turn(locks as unknown as LockManager, {
				mine: () => said.push(`${name} sends`),
				theirs: () => said.push(`${name} is quiet`),
			});
		const [a, b] = [window("a"), window("b")];
		a.take();
		await wait(20);
		b.take();
		await wait(20);
		a.take();
		a.take(); // a page that is shown hears of it twice: it is visible, and it has the focus
		await wait(20);
		same(said, ["a sends", "b sends", "a is quiet", "a sends", "b is quiet"]);
		locks.closeHolder();
		await wait(20);
		same(said.at(-1), "b sends");
	},
);

claim("ST12: without locks, or with locks that do not work, each window sends", async () => {
	const said: string[] = [];
	const events = { mine: () => said.push("mine"), theirs: () => said.push("theirs") };
	new Turn(undefined, events).take();
	new Turn(undefined, events).wait();
	const broken = { request: () => Promise.reject(new DOMException("no", "SecurityError")) };
	new Turn(broken as unknown as LockManager, events).take();
	await wait(1);
	same(said, ["mine", "mine", "mine"]);
});

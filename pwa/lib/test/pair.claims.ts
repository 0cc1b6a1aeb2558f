// Claims about pairing: codes, the token, what is said of a tablet that is not let
// in, and the way out of a pairing.

import { follow } from "../board";
import { afterRefusal, isLoopback, type NotPaired, offeredIn, typedCode } from "../code";
import * as pairing from "../pairing";
import { hold, newID } from "../record";
import type { Checks, Probes } from "../selftest";
import * as state from "../state";
import { pair } from "../textpair";
import { pairWall, wallKey } from "../wallkey";
import { claim, holds, refused, same } from "./claim";
import { Disk, Memory } from "./memory";
import { started } from "./started";

const GREEN: Checks = {
	worker: true,
	socket: true,
	secure: true,
	strict: true,
	persisted: true,
	clock_ms: 0,
};
const TOKEN = "t".repeat(43);

async function setUp(answer: () => Response, disk = new Disk()) {
	const store = new Memory(disk);
	const asked: { path: string; body: unknown }[] = [];
	let changed = 0;
	const wires = await started(store);
	pairing.startPairing({
		fetch: async (path, init) => {
			asked.push({ path, body: JSON.parse(String(init.body)) });
			return answer();
		},
		host: "tubewright.local",
		changed: () => {
			changed++;
		},
	});
	return { store, disk, wires, asked, changed: () => changed };
}

const taken = () => Response.json({ token: TOKEN, role: "measure", name: "Yard" });

async function keepOne(store: Memory): Promise<string> {
	const id = newID();
	const raw = JSON.stringify({ id, dev: "x", kind: "note", job: "j", slot: "s", hlc: "", body: 0 });
	await store.keep({ records: [await hold(raw, null)], at: 1, drop: [], meta: {} });
	return id;
}

claim("a typed code is read whatever its case and gaps, and foreign signs are named", () => {
	for (const typed of ["ABCDEF23", "abcd ef23", " a b-c·d e f 2 3 "])
		same(typedCode(typed), { code: "ABCDEF23", not: "" });
	same(typedCode("AB0D1F23"), { code: "ABDF23", not: "01" });
	same(typedCode("ABCDEF23Z").code, "ABCDEF23", "no more than eight:");
});

claim(
	"after a refusal the first key starts a new code, wherever it lands, and a deletion mends the old one",
	() => {
		for (const now of ["ABCD EFGHK", "ABKCD EFGH", "K", "KABCD EFGH"])
			same(afterRefusal("ABCD EFGH", now), "K", now);
		same(afterRefusal("ABCD EFGH", "ABCD EFGHJKLM NPQR"), "JKLM NPQR", "pasted behind:");
		same(afterRefusal("ABCD EFGH", "ABCD EFG"), "ABCD EFG");
		same(afterRefusal("ABCD EFGH", "H"), "H", "typed over all of it:");
		same(afterRefusal("AAAA AAAA", "AAAA AAAAA"), "A");
		same(afterRefusal("ABCD EFGH", "ABCD EFGH"), "ABCD EFGH");
	},
);

claim("each refusal that a wall board can get has its sentence", async () => {
	const fetch = async () => Response.json({ why: "app", text: "from the shop" }, { status: 422 });
	const on = shelf();
	const said = await refused(pairWall("ABCDEF23", wallKey(on), on, probes(), fetch));
	same([said.message, wallKey(on).token], [pair.refused.app, ""]);
	holds(pair.refused.app?.includes("tablet") === true, "a tablet's code is called one");
});

claim("a link brings its code behind the #, for a tablet and for a wall", () => {
	const secret = "abcdefghijklmnopqrstuvwxyz";
	same(offeredIn(`#/pair?code=${secret}`), secret);
	same(offeredIn(`#code=${secret}`), secret);
	for (const none of [
		"",
		"#/pair",
		"#/job?code=",
		"#/jobs",
		"#/pair?code=<script>",
		`#/other?code=${secret}`,
	])
		same(offeredIn(none), "", none);
});

claim("only the shop machine itself needs no pairing", () => {
	for (const own of ["localhost", "127.0.0.1", "127.3.2.1", "[::1]"]) holds(isLoopback(own), own);
	for (const not of ["tubewright.local", "192.168.1.9", "127.0.0.1.example", "localhost.example", ""])
		holds(!isLoopback(not), not);
});

claim("paired is said once the token is on the disk, and it is there at the next start", async () => {
	const { disk, store, wires, asked, changed } = await setUp(taken);
	same([wires.who().token, pairing.pairing.value.hasToken], ["", false]);
	const put = store.putMeta;
	let before = true;
	store.putMeta = async (m) => {
		if ("token" in m) before = !pairing.pairing.value.hasToken;
		return put(m);
	};
	await pairing.claim("ABCDEF23", GREEN);
	holds(before, "paired was shown before it was written");
	same(asked, [
		{ path: "/pair/claim", body: { code: "ABCDEF23", dev: wires.who().dev, for: "app", checks: GREEN } },
	]);
	same([disk.meta.token, disk.meta.role, disk.meta.name], [TOKEN, "measure", "Yard"]);
	same([wires.who().token, wires.who().name, changed()], [TOKEN, "Yard", 1]);
	const next = await setUp(taken, disk.copy());
	same(next.wires.who().token, TOKEN);
	const { hasToken, stand, role, name } = pairing.pairing.value;
	same([hasToken, stand, role, name], [true, "unknown", "measure", "Yard"]);
});

claim(
	"a code that was taken while the disk failed is written at the next try, and not asked for again",
	async () => {
		const { store, disk, wires, asked } = await setUp(taken);
		store.broken = new Error("QuotaExceededError");
		await refused(pairing.claim("ABCDEF23", GREEN));
		same(
			[wires.who().token, pairing.pairing.value.hasToken, state.status.value.storage],
			["", false, "failing"],
		);
		store.broken = null;
		await pairing.claim("ABCDEF23", GREEN);
		same([asked.length, disk.meta.token], [1, TOKEN]);
	},
);

claim("each reason why a code is not taken is said in a sentence, and nothing changes", async () => {
	let answer = () => Response.json({ why: "", text: "" }, { status: 400 });
	const { disk, wires } = await setUp(() => answer());
	const before = JSON.stringify(disk.meta);
	for (const why of ["code", "expired", "used", "many", "checks", "fault", "wall"]) {
		answer = () => Response.json({ why, text: "from the shop" }, { status: 403 });
		const err = (await refused(pairing.claim("ABCDEF23", GREEN))) as NotPaired;
		same([err.why, err.message], [why, pair.refused[why]]);
	}
	answer = () => Response.json({ why: "newer", text: "from the shop" }, { status: 403 });
	same((await refused(pairing.claim("ABCDEF23", GREEN))).message, "from the shop");
	answer = () => new Response("<html>", { status: 502 });
	same((await refused(pairing.claim("ABCDEF23", GREEN))).message, pair.answered(502));
	answer = () => {
		throw new TypeError("Failed to fetch");
	};
	same((await refused(pairing.claim("ABCDEF23", GREEN))).message, pair.refused.silent);
	answer = () => Response.json({ token: TOKEN, role: "board", name: "Wall" });
	same((await refused(pairing.claim("ABCDEF23", GREEN))).message, pair.refused.board);
	same([JSON.stringify(disk.meta), wires.who().token], [before, ""]);
});

claim(
	"TL7: the token goes into the header of requests for photos and figures, and nowhere else",
	async () => {
		await setUp(taken);
		const of = (path: string) => new Headers(pairing.withToken(path, {}).headers).get("Authorization");
		same(of("/blob/ab/have"), null);
		await pairing.claim("ABCDEF23", GREEN);
		same([of("/blob/ab/have"), of("/api/jobs")], [`Tubewright ${TOKEN}`, `Tubewright ${TOKEN}`]);
		same([of("/sync/open"), of("/pair/claim"), of("/index.html")], [null, null, null]);
		const init = pairing.withToken("/blob/ab/0", { method: "PUT", headers: { "X-Own": "1" } });
		same([init.method, new Headers(init.headers).get("X-Own")], ["PUT", "1"]);
	},
);

claim("TL8: a refused token changes what is said and nothing that is kept", async () => {
	const { disk, store, wires } = await setUp(taken);
	await pairing.claim("ABCDEF23", GREEN);
	await keepOne(store);
	const kept = JSON.stringify([[...disk.records], [...disk.outbox], disk.meta]);
	pairing.barred("token");
	same(pairing.pairing.value.stand, "barred");
	pairing.barred("revoked");
	pairing.putAside(3, 2, "no room");
	const off = pairing.pairing.value;
	same([off.stand, off.aside, off.left, off.leftWhy], ["revoked", 3, 2, "no room"]);
	same(JSON.stringify([[...disk.records], [...disk.outbox], disk.meta]), kept);
	same(wires.who().token, TOKEN, "it may send what it holds:");
	const form = await state.openForm("j", "port/p1/width");
	await state.keepReading(form, {
		...{ text: "41.3", unit: "mm", v: 41_300_000, res: 100_000 },
		...{ quantity: "length", tool: "caliper" },
	});
	holds(disk.records.has(form.id), "entry goes on");
	pairing.met({ role: "bench", name: "Bench 2", isRevoked: false });
	const { stand, role, name, aside } = pairing.pairing.value;
	same([stand, role, name, aside, wires.who().name], ["known", "bench", "Bench 2", 0, "Bench 2"]);
});

claim("a tablet may what its role may in the shop; before the shop said one, all", async () => {
	await setUp(taken);
	const kinds = ["reading", "note", "retract", "photo", "mark", "choice", "piece", "deny", "invoice"];
	const mayNot = () => kinds.filter((k) => !pairing.may(k));
	same(mayNot(), []);
	pairing.met({ role: "measure", name: "Yard", isRevoked: false });
	same(mayNot(), ["choice", "piece", "deny", "invoice"]);
	pairing.met({ role: "bench", name: "Bench 2", isRevoked: false });
	same(mayNot(), []);
});

claim("a browser on the shop machine keeps the name it has", async () => {
	const { wires } = await setUp(taken);
	state.deviceName.value = "Counter";
	pairing.met({ role: "bench", name: "", isRevoked: false });
	pairing.met({ role: "bench", name: "other", isRevoked: false });
	same([wires.who().name, pairing.pairing.value.role], ["Counter", "bench"]);
});

claim("TL8: unpairing with something unsent asks for the word and hands the file over first", async () => {
	const { disk, store, wires, changed } = await setUp(taken);
	await pairing.claim("ABCDEF23", GREEN);
	const id = await keepOne(store);
	await wires.reread([id]);
	same(await pairing.waiting(), { records: 1, photos: 0 });
	let files = 0;
	const hand = async (f: state.SavedFile) => {
		same([disk.meta.token, f.contents.records], [TOKEN, 1], "handed over while still paired:");
		files++;
	};
	for (const word of ["", "unpai", "yes"]) await refused(pairing.unpair(word, hand));
	same([files, disk.meta.token, pairing.pairing.value.hasToken], [0, TOKEN, true]);
	const broken = () => Promise.reject(new Error("no room"));
	same((await refused(pairing.unpair("unpair", broken))).message, "no room");
	same([disk.meta.token, changed()], [TOKEN, 1]);
	await pairing.unpair(" Unpair ", hand);
	same([files, disk.meta.token, wires.who().token, changed()], [1, "", "", 2]);
	same([disk.records.size, disk.outbox.size], [1, 1], "everything is still there:");
	same(pairing.pairing.value.hasToken, false);
});

claim("unpairing with nothing unsent asks for nothing", async () => {
	const { disk } = await setUp(taken);
	await pairing.claim("ABCDEF23", GREEN);
	await pairing.unpair("", () => Promise.reject(new Error("a file")));
	same(disk.meta.token, "");
});

claim("another window's pairing is taken in", async () => {
	const { disk, wires } = await setUp(taken);
	Object.assign(disk.meta, { token: TOKEN, role: "measure", name: "Yard" });
	await pairing.reread();
	same([wires.who().token, pairing.pairing.value.name], [TOKEN, "Yard"]);
});

const probes = (more: Partial<Probes> = {}): Probes => ({
	host: "tubewright.local",
	isSecure: () => true,
	worker: async () => {},
	socket: async () => {},
	strict: async () => true,
	persisted: async () => true,
	clock: async () => 0,
	...more,
});

function shelf() {
	const texts = new Map<string, string>();
	return {
		getItem: (name: string) => texts.get(name) ?? null,
		setItem: (name: string, value: string) => void texts.set(name, value),
	};
}

claim("a wall board keeps its id and its token, and takes no code that is for a tablet", async () => {
	const on = shelf();
	const first = wallKey(on);
	holds(/^wall-\w+$/.test(first.dev) && first.token === "", JSON.stringify(first));
	let role = "measure";
	const bodies: string[] = [];
	const fetch = async (_: string, init: RequestInit) => {
		bodies.push(String(init.body));
		return Response.json({ token: TOKEN, role, name: "Wall" });
	};
	const why = (await refused(pairWall("abcdefgh", first, on, probes(), fetch))).message;
	same([why, wallKey(on).token], [pair.refused.tablet, ""]);
	role = "board";
	const key = await pairWall("abcdefgh", first, on, probes(), fetch);
	same([key, wallKey(on)], [{ dev: first.dev, token: TOKEN }, key]);
	const { dev, for: asked } = JSON.parse(bodies[1] ?? "");
	same([dev, asked], [first.dev, "wall"]);
	const untrusted = probes({ worker: () => Promise.reject(new Error("SSL")) });
	await refused(pairWall("abcdefgh", first, on, untrusted, fetch));
	same(bodies.length, 2, "a board that fails the test asks for nothing:");
	same(
		wallKey({ getItem: () => "{", setItem: () => {} }).token,
		"",
		"what cannot be read is as good as none:",
	);
});

claim("a wall board that is not let in says so and shows nothing more", () => {
	const made: { sent: string[]; onopen?: () => void; onmessage?: (e: { data: string }) => void }[] = [];
	const was = { socket: globalThis.WebSocket, timer: globalThis.setTimeout, beat: globalThis.setInterval };
	const waits: number[] = [];
	const Fake = class {
		static OPEN = 1;
		readyState = 1;
		sent: string[] = [];
		constructor() {
			made.push(this as never);
		}
		send(frame: string) {
			this.sent.push(frame);
		}
		close() {}
	};
	globalThis.WebSocket = Fake as never;
	globalThis.setInterval = (() => 0) as never;
	globalThis.setTimeout = ((_: () => void, ms: number) => waits.push(ms)) as never;
	const seen: string[] = [];
	try {
		follow("wss://x/sync", "b", () => ({ dev: "wall-1", token: TOKEN }), {
			onBoard: () => seen.push("board"),
			onHeard: () => seen.push("heard"),
			onBye: () => seen.push("bye"),
			onBarred: (why) => seen.push(why),
		});
		made[0]?.onopen?.();
		same(JSON.parse(made[0]?.sent[0] ?? "{}").token, TOKEN);
		made[0]?.onmessage?.({ data: JSON.stringify({ t: "bye", why: "revoked", text: "" }) });
		made[0]?.onmessage?.({ data: JSON.stringify({ t: "board", jobs: [], tablets: [] }) });
		same(seen, ["revoked"]);
		holds(waits.length === 1 && (waits[0] ?? 0) >= 60_000, `asks again after ${waits} ms`);
	} finally {
		globalThis.WebSocket = was.socket;
		globalThis.setTimeout = was.timer;
		globalThis.setInterval = was.beat;
	}
});

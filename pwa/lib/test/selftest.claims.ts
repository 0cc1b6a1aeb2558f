// Claims about the self-test before pairing, and about finding out why the shop
// is not reached.

import { type Cause, finds, reach, type Sight } from "../reach";
import { canPair, isAddress, type Line, type Probes, selftest } from "../selftest";
import { reach as reachWords, test } from "../textpair";
import { claim, holds, same } from "./claim";

const SHORT = { worker: 20, socket: 20, strict: 20, persisted: 20, clock: 20 };

const good: Probes = {
	host: "tubewright.local",
	isSecure: () => true,
	worker: async () => {},
	socket: async () => {},
	strict: async () => true,
	persisted: async () => true,
	clock: async () => 400.4,
};

async function run(more: Partial<Probes>) {
	let lines: Line[] = [];
	const checks = await selftest(
		{ ...good, ...more },
		(l) => {
			lines = l;
		},
		SHORT,
	);
	const is = Object.fromEntries(lines.map((l) => [l.name, l.is]));
	return { checks, lines, is };
}

const no = (why: string) => () => Promise.reject(new Error(why));

claim("TL1: a tablet on which everything works is green in every line and can be paired", async () => {
	const { checks, is } = await run({});
	same(new Set(Object.values(is)).size, 1);
	same(is.worker, "good");
	same(checks, { worker: true, socket: true, secure: true, strict: true, persisted: true, clock_ms: 400 });
	holds(canPair(checks), "can be paired");
});

claim("TL1: without worker, socket or secure page there is no pairing, and the line is red", async () => {
	const broken: ["worker" | "socket" | "secure", Partial<Probes>][] = [
		["worker", { worker: no("SSL certificate error") }],
		["socket", { socket: no("closed") }],
		["secure", { isSecure: () => false }],
		["worker", { worker: () => new Promise(() => {}) }],
		["socket", { socket: () => new Promise(() => {}) }],
	];
	for (const [name, more] of broken) {
		const { checks, is } = await run(more);
		same([is[name], checks[name], canPair(checks)], ["bad", false, false], name);
		same(Object.values(is).filter((x) => x === "bad").length, 1, name);
	}
	const { lines } = await run({ worker: no("SSL certificate error") });
	same(lines.find((l) => l.name === "worker")?.said, "SSL certificate error");
});

claim("TL1: what only makes offline work less sure is a warning, and pairing goes on", async () => {
	const weak: [string, Partial<Probes>][] = [
		["strict", { strict: async () => false }],
		["strict", { strict: no("no database") }],
		["persisted", { persisted: async () => false }],
		["persisted", { persisted: async () => null }],
		["persisted", { persisted: () => new Promise(() => {}) }],
		["clock", { clock: async () => 120_001 }],
		["clock", { clock: async () => -3_600_000 }],
		["clock", { clock: no("offline") }],
		["name", { host: "192.168.1.20" }],
	];
	const tests = weak.map(async ([name, more]) => {
		const { checks, is } = await run(more);
		same([is[name], canPair(checks)], ["warn", true], JSON.stringify([name, Object.keys(more)]));
	});
	await Promise.all(tests);
});

claim("each line that is not good says what to do, with the address to open", async () => {
	const { lines } = await run({ isSecure: () => false, worker: no(""), socket: no("") });
	for (const l of lines) {
		holds((test.todo[l.name]?.("tubewright.local") ?? "").length > 20, l.name);
		holds((test.not[l.name]?.("-3600000") ?? "") !== "" || l.name === "clock", l.name);
	}
	holds(test.todo.worker?.("a.b").includes("http://a.b:8410/") ?? false, "the trust page");
});

claim("ST10: a bare address is not taken for a name", () => {
	for (const a of ["192.168.1.20", "10.0.0.1", "[fd00::1]"]) holds(isAddress(a), a);
	for (const n of ["tubewright.local", "shop.home.arpa", "10.example", "localhost"]) holds(!isAddress(n), n);
});

interface Scene {
	online?: boolean;
	status?: number; // of an answer; 0: none
	ms: number; // until answer or failure
	named: boolean | null;
}

async function look(s: Scene) {
	let now = 0;
	const sight: Sight = {
		online: () => s.online ?? true,
		now: () => now,
		wait: () => new Promise(() => {}),
		ask: async () => {
			now = s.ms;
			if (!s.status) throw new TypeError("Failed to fetch");
			return { status: s.status, text: "open tubewright.local:8411" };
		},
		named: async () => s.named,
	};
	const { cause, isSure } = await reach(sight);
	return [cause, isSure];
}

claim("TL5: name not found, no way and refused are told apart, and doubt is said", async () => {
	const scenes: [string, Scene, Cause, boolean][] = [
		["an answer", { status: 200, ms: 20, named: null }, "answers", true],
		["an answer without a token", { status: 401, ms: 20, named: true }, "answers", true],
		["another name", { status: 421, ms: 20, named: true }, "elsewhere", true],
		["flight mode", { online: false, ms: 1, named: false }, "offline", true],
		["no such name", { ms: 30, named: false }, "name", true],
		["no such name, told late", { ms: 5_000, named: false }, "name", true],
		["machine switched off", { ms: 3_000, named: true }, "route", true],
		["packets swallowed", { ms: 9_000, named: true }, "route", true],
		["swallowed, name not known", { ms: 9_000, named: null }, "route", false],
		["port closed", { ms: 12, named: true }, "refused", true],
		["failed at once, no more seen", { ms: 12, named: null }, "refused-or-name", false],
	];
	for (const [what, scene, cause, isSure] of scenes) same(await look(scene), [cause, isSure], what);
});

claim(
	"TL5: a browser that looks names up in two ways is believed only where both find the shop's",
	async () => {
		const by = (named: Sight["named"]) => finds({ named } as Sight);
		same(await by(async () => true), true);
		for (const not of [async () => false, async () => null, () => Promise.reject(new Error("no"))])
			same(await by(not), false);
	},
);

claim("TL5: each cause says what it is and what to do, and no two say the same", () => {
	const causes: Cause[] = ["answers", "elsewhere", "offline", "name", "route", "refused", "refused-or-name"];
	const said = causes.map((c) => reachWords.cause[c]);
	const todo = causes.map((c) => reachWords.todo[c]);
	same([new Set(said).size, new Set(todo).size, said.includes(undefined)], [7, 7, false]);
});

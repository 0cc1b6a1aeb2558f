import type { Photo } from "../photos";
import { keepMark } from "../photos";
import * as state from "../state";
import { type Socket, Sync } from "../sync";
import { parseAngle, parseLength, parseNumber, type Refused, type Typed } from "../typed";
import type { ReadingInput } from "../types";
import { claim, holds, lengthyClaim, random, refused, same, wait } from "./claim";
import { Disk, Memory } from "./memory";
import { started } from "./started";

// inexact names the first number in a JSON text that does not come through every
// reader unchanged: whole and below 2^53. Texts that are JSON are looked into too.
function inexact(text: string): string {
	let bad = "";
	const literal = /"(?:[^"\\]|\\.)*"|-?\d[\d.eE+-]*/g;
	for (const [token] of text.matchAll(literal)) {
		if (token.startsWith('"')) {
			const inner = JSON.parse(token) as string;
			if (inner.startsWith("{")) bad ||= inexact(inner);
		} else if (!/^-?\d+$/.test(token) || !Number.isSafeInteger(Number(token))) bad ||= token;
	}
	return bad;
}

async function setUp() {
	const disk = new Disk();
	const store = new Memory(disk);
	const wires = await started(store);
	return { disk, store, wires };
}

claim("SY11: inexact numbers are seen", () => {
	same(inexact('{"a":9007199254740991,"b":["9007199254740993",-1]}'), "");
	same(inexact('{"a":9007199254740993}'), "9007199254740993");
	same(inexact('{"a":0.5}'), "0.5");
	same(inexact(JSON.stringify({ recs: [JSON.stringify({ n: 2 ** 53 })] })), "9007199254740992");
});

lengthyClaim("SY11: whatever is typed, every number in its record is whole and below 2^53", async () => {
	const { disk } = await setUp();
	const rnd = random(11);
	const parts = [
		"0",
		"1",
		"7",
		"9",
		"99999999",
		"123456789012",
		".",
		",",
		" ",
		"/",
		"-",
		"mm",
		"in",
		"ft",
		"5/8",
		"°",
	];
	let kept = 0;
	for (let i = 0; i < 3000; i++) {
		const text = Array.from(
			{ length: 1 + Math.floor(rnd() * 6) },
			() => parts[Math.floor(rnd() * parts.length)],
		).join("");
		const reads: [ReadingInput["quantity"], () => Typed | Refused][] = [
			["length", () => parseLength(text, i % 2 ? "mm" : "in")],
			["angle", () => parseAngle(text)],
			["number", () => parseNumber(text)],
		];
		for (const [quantity, read] of reads) {
			const typed = read();
			if ("error" in typed) continue;
			const { unit, v, res } = typed;
			await state.keepReading(await state.openForm("j", `port/p${i}/x`), {
				...{ text, unit, v, res, quantity },
				tool: "caliper",
			});
			kept++;
		}
	}
	holds(kept > 300, `${kept} texts were read`);
	same(disk.records.size, kept);
	for (const r of disk.records.values()) same(inexact(r.raw), "", r.raw);
});

claim("SY11: a figure that cannot be kept exactly is refused and stays on the screen", async () => {
	const { disk } = await setUp();
	const form = await state.openForm("j", "port/p1/width");
	const input = { text: "9", unit: "mm", res: 1, quantity: "length", tool: "" } as const;
	for (const v of [0.5, 2 ** 53]) {
		const err = await refused(state.keepReading(form, { ...input, v }));
		holds(err.message.includes("exactly"), err.message);
	}
	same(disk.records.size, 0);
});

claim("SY11: marks and frames hold whole numbers below 2^53", async () => {
	const { disk, store, wires } = await setUp();
	const photo = { sha: "ab".repeat(32), job: "j", slot: "job/self/photo" } as Photo;
	await keepMark(photo, "arrow", [250_000, 100_000, 1_000_000, 0], "");
	await state.keepNote("j", "job/self/name", "1e99 is a text");
	for (const r of disk.records.values()) same(inexact(r.raw), "", r.raw);
	const sent: string[] = [];
	let socket: Socket | undefined;
	const none = () => {};
	const sync = new Sync(
		{
			socket: () => {
				socket = {
					...{ send: (text: string) => sent.push(text), close: none },
					...{ onopen: null, onmessage: null, onclose: null, onerror: null },
				};
				return socket;
			},
			now: Date.now,
			random: Math.random,
			after: () => none,
		},
		store,
		wires.who,
		{
			...wires,
			...{ link: none, heard: none, offset: none, build: none, notice: none, aside: none, photos: none },
			...{ met: none, barred: none, putAside: none },
		},
	);
	sync.start();
	await wait(5);
	socket?.onopen?.();
	await wait(5);
	const welcome = { t: "welcome", proto: 1, build: "b", now_ms: Date.now(), high: 0, backup_pos: 0 };
	socket?.onmessage?.({ data: JSON.stringify(welcome) });
	await wait(20);
	sync.stop();
	const kinds = sent.map((s) => (JSON.parse(s) as { t: string }).t);
	same([...new Set(kinds)].sort(), ["hb", "hello", "push"]);
	for (const s of sent) same(inexact(s), "", s);
});

import {
	type Answer,
	type Asked,
	Calc,
	NotHere,
	type Question,
	Stopped,
	Superseded,
	type WorkerLike,
} from "../calc";
import { claim, holds, refused, same, wait } from "./claim";

const LIMITS = { answer: 200, start: 2000, idle: 100, isLong: false };
const LONG = { ...LIMITS, answer: Number.POSITIVE_INFINITY, isLong: true };

class FakeWorker implements WorkerLike {
	static all: FakeWorker[] = [];
	onmessage: ((e: { data: Answer }) => void) | null = null;
	onerror: ((e: { message?: string }) => void) | null = null;
	got: Asked[] = [];
	isEnded = false;

	constructor(private act: (q: Asked, w: FakeWorker) => void) {
		FakeWorker.all.push(this);
		setTimeout(() => this.say({ build: "b1" }));
	}

	say(data: Answer): void {
		if (!this.isEnded) this.onmessage?.({ data });
	}

	postMessage(q: Question): void {
		if ("wasm" in q) return;
		this.got.push(q);
		this.act(q, this);
	}

	terminate(): void {
		this.isEnded = true;
	}
}

// soon keeps a claim that does not hold from waiting for ever.
const soon = <T>(p: Promise<T>): Promise<T> =>
	Promise.race([p, wait(1000).then(() => Promise.reject(new Error("no answer within 1 s")))]);

function calcWith(act: (q: Asked, w: FakeWorker) => void, manner = LIMITS): Calc {
	FakeWorker.all = [];
	return new Calc(() => new FakeWorker(act), manner);
}

claim("a question is answered and the worker ends when idle", async () => {
	const calc = calcWith((q, w) => setTimeout(() => w.say({ n: q.n, text: `${q.text}!` })));
	same(await calc.ask("view", { a: 1 }), '{"a":1}!');
	same(calc.build, "b1");
	await wait(400);
	same(
		FakeWorker.all.map((w) => w.isEnded),
		[true],
	);
	same(await calc.ask("view", {}), "{}!");
	same(FakeWorker.all.length, 2);
	calc.end();
});

claim("of waiting questions of one kind only the latest is asked", async () => {
	const calc = calcWith((q, w) => setTimeout(() => w.say({ n: q.n, text: q.text })));
	const [a, b, c, d] = [1, 2, 3, 4].map((n) => calc.ask(n === 4 ? "jobs" : "view", { n }));
	holds((await refused(a as Promise<string>)) instanceof Superseded, "first was answered");
	holds((await refused(b as Promise<string>)) instanceof Superseded, "second was answered");
	same(await c, '{"n":3}');
	same(await d, '{"n":4}');
	calc.end();
});

claim("a worker that does not answer is replaced and the error is told", async () => {
	let isStuck = true;
	const calc = calcWith((q, w) => !isStuck && w.say({ n: q.n, text: "late" }));
	const stuck = refused(calc.ask("view", {}));
	const next = calc.ask("jobs", {});
	holds((await stuck).message.includes("more than 0.2 s"), "another error");
	isStuck = false;
	same(await next, "late");
	same(
		FakeWorker.all.map((w) => w.isEnded),
		[true, false],
	);
	calc.end();
});

claim("a panic ends its question and not the next one", async () => {
	const calc = calcWith((q, w) => w.say(q.n === 1 ? { failed: "it panicked" } : { n: q.n, text: "fine" }));
	same((await refused(calc.ask("view", {}))).message, "it panicked");
	same(await calc.ask("view", {}), "fine");
	calc.end();
});

claim("where no worker starts every question is refused with the reason", async () => {
	const calc = new Calc(() => {
		throw new Error("out of memory");
	}, LIMITS);
	holds((await refused(calc.ask("view", {}))).message.includes("out of memory"), "no reason");
});

claim("a long calculation has as long as it takes, and tells how far it is", async () => {
	const calc = calcWith((q, w) => {
		setTimeout(() => w.say({ n: q.n, done: 0.25 }), 100);
		setTimeout(() => w.say({ n: q.n - 1, done: 0.9 }), 150); // of an earlier question
		setTimeout(() => w.say({ n: q.n, text: "at last" }), 3 * LIMITS.answer);
	}, LONG);
	const told: number[] = [];
	same(await calc.ask("cuts", {}, (done) => told.push(done)), "at last");
	same(told, [0.25]);
	calc.end();
});

claim("a newer question ends the worker that is at an older one of its kind, and no other", async () => {
	const calc = calcWith((q, w) => q.n > 2 && w.say({ n: q.n, text: q.text }), LONG);
	const first = refused(calc.ask("cuts", { n: 1 }));
	await wait(50);
	const other = refused(calc.ask("corrections", { n: 2 }));
	await wait(50);
	same(
		FakeWorker.all[0]?.got.map((q) => q.n),
		[1],
	);
	const second = calc.ask("cuts", { n: 3 });
	holds((await soon(first)) instanceof Superseded, "the first was answered");
	await wait(50);
	const third = calc.ask("corrections", { n: 4 });
	holds((await soon(other)) instanceof Superseded, "the other kind was not asked for in its turn");
	same([await soon(second), await soon(third)], ['{"n":3}', '{"n":4}']);
	same(
		FakeWorker.all.map((w) => w.isEnded),
		[true, true, false],
	);
	calc.end();
});

claim("what is stopped ends its worker at once; the next question starts another", async () => {
	const calc = calcWith((q, w) => q.n > 1 && w.say({ n: q.n, text: "fine" }), LONG);
	const first = refused(calc.ask("cuts", {}));
	await wait(50);
	calc.stop("corrections");
	same(FakeWorker.all[0]?.isEnded, false);
	calc.stop("cuts");
	same(FakeWorker.all[0]?.isEnded, true);
	holds((await soon(first)) instanceof Stopped, "another error");
	same(FakeWorker.all.length, 1);
	same(await soon(calc.ask("cuts", {})), "fine");
	same(FakeWorker.all.length, 2);
	calc.end();
});

claim("a worker whose only question was stopped before it began ends when idle", async () => {
	const calc = calcWith(() => {}, LONG);
	const first = refused(calc.ask("cuts", {}));
	calc.stop("cuts");
	holds((await soon(first)) instanceof Stopped, "another error");
	await wait(300);
	same(
		FakeWorker.all.map((w) => [w.isEnded, w.got.length]),
		[[true, 0]],
	);
});

claim("a calculation that is not on the tablet is told from one that fails", async () => {
	const missing = new Calc(() => {
		const w = new FakeWorker(() => {});
		w.say = () => {};
		setTimeout(() => w.onmessage?.({ data: { failed: "no file", missing: true } }));
		return w;
	}, LONG);
	holds((await refused(missing.ask("cuts", {}))) instanceof NotHere, "missing is told as a failure");
	const scriptless = new Calc(() => {
		const w = new FakeWorker(() => {});
		w.say = () => {};
		setTimeout(() => w.onerror?.({}));
		return w;
	}, LONG);
	holds(
		(await refused(scriptless.ask("cuts", {}))) instanceof NotHere,
		"a script that did not come is told as a failure",
	);
	const failing = calcWith((_, w) => w.say({ failed: "it panicked" }), LONG);
	holds(!((await refused(failing.ask("cuts", {}))) instanceof NotHere), "a panic is told as missing");
});

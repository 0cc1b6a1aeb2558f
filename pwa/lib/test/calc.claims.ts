import { type Answer, Calc, type Question, Superseded, type WorkerLike } from "../calc";
import { claim, holds, refused, same, wait } from "./claim";

const LIMITS = { answer: 200, start: 2000, idle: 100 };

class FakeWorker implements WorkerLike {
	static all: FakeWorker[] = [];
	onmessage: ((e: { data: Answer }) => void) | null = null;
	onerror: ((e: { message?: string }) => void) | null = null;
	got: Question[] = [];
	isEnded = false;

	constructor(private act: (q: Question, w: FakeWorker) => void) {
		FakeWorker.all.push(this);
		setTimeout(() => this.say({ build: "b1" }));
	}

	say(data: Answer): void {
		if (!this.isEnded) this.onmessage?.({ data });
	}

	postMessage(q: Question): void {
		this.got.push(q);
		this.act(q, this);
	}

	terminate(): void {
		this.isEnded = true;
	}
}

function calcWith(act: (q: Question, w: FakeWorker) => void): Calc {
	FakeWorker.all = [];
	return new Calc(() => new FakeWorker(act), LIMITS);
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
	holds((await stuck).message.includes("more than 5 s"), "another error");
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

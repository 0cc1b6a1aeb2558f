import { NotHere, Stopped, Superseded } from "../calc";
import { Held, SHOP } from "../held";
import { Long, type Messenger, signOf, type Worked } from "../long";
import { hold, newID } from "../record";
import { claim, holds, same, wait } from "./claim";

interface Begun {
	kind: string;
	question: object;
	told(done: number): void;
	answer(text: string): void;
	fail(err: Error): void;
}

/** A messenger that is answered by hand, with the promises of the real one. */
class Hand implements Messenger {
	begun: Begun[] = [];

	ask(kind: string, question: object, told: (done: number) => void): Promise<string> {
		this.drop(kind, new Superseded(kind));
		return new Promise((answer, fail) => this.begun.push({ kind, question, told, answer, fail }));
	}

	stop(kind: string): void {
		this.drop(kind, new Stopped(kind));
	}

	private drop(kind: string, why: Error): void {
		for (const b of this.begun) if (b.kind === kind) b.fail(why); // nothing where it is answered
	}

	at(i: number): Begun {
		const b = this.begun[i];
		if (!b) throw new Error(`only ${this.begun.length} were asked`);
		return b;
	}
}

const PAUSE = 20;

function setUp() {
	const hand = new Hand();
	const long = new Long(hand, PAUSE);
	const want = (job: string, sign: string) => long.want("cuts", job, sign, () => ({ job, sign }));
	const is = (job = "j") => long.shown<{ cost: number }>("cuts", job).value;
	return { hand, long, want, is };
}

const brief = (w: Worked<{ cost: number }>) => [w.state, w.answer?.cost ?? null, w.isStale];

claim("a long answer is asked for once for what comes in together, and tells how far it is", async () => {
	const { hand, want, is } = setUp();
	same(brief(is()), ["none", null, false]);
	want("j", "a");
	want("j", "b");
	want("j", "b");
	same(is().state, "running");
	await wait(2 * PAUSE);
	same(
		hand.begun.map((b) => b.question),
		[{ job: "j", sign: "b" }],
	);
	hand.at(0).told(0.5);
	same(is().done, 0.5);
	want("j", "b"); // it is on its way
	await wait(2 * PAUSE);
	hand.at(0).answer('{"cost":12}');
	await wait(0);
	same(brief(is()), ["done", 12, false]);
	want("j", "b");
	await wait(2 * PAUSE);
	same(hand.begun.length, 1);
});

claim(
	"the answer of before stays, as one of before, until the newer one is there; going back shows it at once",
	async () => {
		const { hand, want, is } = setUp();
		want("j", "a");
		await wait(2 * PAUSE);
		hand.at(0).answer('{"cost":12}');
		await wait(0);
		want("j", "b");
		same(brief(is()), ["running", 12, true]);
		await wait(2 * PAUSE);
		want("j", "a");
		same(brief(is()), ["done", 12, false]);
		hand.at(1).answer('{"cost":9}'); // given up: nobody waits for it
		await wait(2 * PAUSE);
		same(brief(is()), ["done", 12, false]);
		same(hand.begun.length, 2);
	},
);

claim("a page that only tells of an answer asks for none, and knows whether it is of now", async () => {
	const { hand, long, want } = setUp();
	const told = (sign: string) => long.answered<{ cost: number }>("cuts", "j", () => sign);
	same(told("a"), null);
	want("j", "a");
	same(told("a"), null);
	await wait(2 * PAUSE);
	hand.at(0).answer('{"cost":12}');
	await wait(0);
	same(told("a"), { answer: { cost: 12 }, isOfNow: true });
	same(told("b"), { answer: { cost: 12 }, isOfNow: false });
	want("j", "b");
	same(told("b"), { answer: { cost: 12 }, isOfNow: false }); // until the newer one is there
	same(hand.begun.length, 1);
});

claim("another job's question takes the place of the one before; coming back asks again", async () => {
	const { hand, want, is } = setUp();
	want("j", "a");
	await wait(2 * PAUSE);
	want("k", "b");
	same([is("j").state, is("k").state], ["none", "running"]);
	await wait(2 * PAUSE);
	hand.at(1).answer('{"cost":7}');
	await wait(0);
	same(
		[brief(is("j")), brief(is("k"))],
		[
			["none", null, false],
			["done", 7, false],
		],
	);
	want("j", "a");
	await wait(2 * PAUSE);
	hand.at(2).answer('{"cost":8}');
	await wait(0);
	same(
		[brief(is("j")), brief(is("k"))],
		[
			["done", 8, false],
			["done", 7, false],
		],
	);
});

claim("what a person stopped stays stopped until it is asked for, or something changes", async () => {
	const { hand, long, want, is } = setUp();
	want("j", "a");
	long.stop("cuts"); // before it was asked
	await wait(2 * PAUSE);
	same([is().state, hand.begun.length], ["stopped", 0]);
	want("j", "a");
	await wait(2 * PAUSE);
	same([is().state, hand.begun.length], ["stopped", 0]);
	long.again("cuts", "j");
	await wait(2 * PAUSE);
	same([is().state, hand.begun.length], ["running", 1]);
	long.stop("cuts");
	await wait(0);
	same(is().state, "stopped");
	want("j", "b");
	await wait(2 * PAUSE);
	same([is().state, hand.begun.length], ["running", 2]);
});

claim(
	"a calculation that is not here yet is asked for again with the connection, a refusal is not",
	async () => {
		const { hand, long, want, is } = setUp();
		want("j", "a");
		await wait(2 * PAUSE);
		hand.at(0).fail(new NotHere("no file"));
		await wait(0);
		same(is().state, "away");
		long.lookAgain();
		await wait(2 * PAUSE);
		same(is().state, "running");
		hand.at(1).answer('{"error":"no stock has a CLR of 40 mm"}');
		await wait(0);
		same([is().state, is().why], ["failed", "no stock has a CLR of 40 mm"]);
		long.lookAgain();
		await wait(2 * PAUSE);
		same(hand.begun.length, 2);
	},
);

claim("only so many long answers are kept, those shown last", async () => {
	const { hand, want, is } = setUp();
	const answered = async (sign: string) => {
		want("j", sign);
		const before = hand.begun.length;
		await wait(2 * PAUSE);
		if (hand.begun.length > before) hand.at(before).answer('{"cost":1}');
		await wait(0);
		same(is().state, "done");
		return hand.begun.length > before;
	};
	for (let i = 0; i < 12; i++) await answered(`${i}`);
	same(await answered("0"), false);
	same(await answered("12"), true); // 1 goes for it
	same(await answered("0"), false);
	same(await answered("1"), true);
});

claim("the sign of a job is what its records say, whatever way it came there", async () => {
	const all = new Held();
	let at = 0;
	const put = async (kind: string, slot: string, more: object = {}, job = "j") => {
		const id = newID();
		const hlc = `17640254${String(++at).padStart(5, "0")}-0000-d`;
		const body = kind === "retract" ? {} : { text: "72", unit: "deg", person: "P", at: "" };
		all.put(
			await hold(JSON.stringify({ id, dev: "d", n: at, hlc, kind, job, slot, sv: 1, body, ...more }), null),
		);
		return id;
	};
	const sign = () => signOf(all, ["j", SHOP]);
	const turn = "element/e1/turn";
	const first = await put("reading", turn);
	const one = sign();
	const changed = (what: string) => holds(sign() !== one, `${what} leaves the sign`);
	const undone = async (id: string, slot: string, what: string, job = "j") => {
		changed(what);
		const back = await put("retract", slot, { target: id }, job);
		same(sign(), one, `${what}, taken back`);
		return back;
	};
	await undone(await put("reading", turn, { over: [first] }), turn, "another reading");
	await undone(await put("reading", turn), turn, "a dispute");
	await undone(await put("note", "element/e1/remark"), "element/e1/remark", "a note");
	await undone(await put("piece", "piece/t1-2/stage"), "piece/t1-2/stage", "a stage at the bench");
	const stock = await put("reading", "stock/s1/clr", {}, SHOP);
	await undone(stock, "stock/s1/clr", "stock of the shop", SHOP);
	for (const [kind, slot, job] of [
		["photo", turn, "j"],
		["reading", "print/flange/10", "j"],
		["note", "job/self/name", "j"],
		["reading", turn, "other"],
	] as const) {
		await put(kind, slot, {}, job);
		same(sign(), one, `${kind} ${slot} of ${job}`);
	}
});

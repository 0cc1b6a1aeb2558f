import type { Ask } from "../answers";
import { Held } from "../held";
import { hold, newID } from "../record";
import type { Head } from "../types";
import { askWith, type HeadPlan, type HeadTube } from "../withheads";
import { apart, lines } from "../withwords";
import { claim, holds, refused, same } from "./claim";

const SLOT = "element/e1/turn";

async function held(): Promise<Held> {
	const all = new Held();
	const reading = (job: string) => ({
		id: newID(),
		dev: "d",
		n: 1,
		hlc: "1764025441123-0000-d",
		kind: "reading",
		job,
		slot: SLOT,
		sv: 1,
		body: { text: "72", unit: "deg", udeg: 72_000_000, res: 100_000, tool: "gauge", person: "P", at: "" },
	});
	for (const job of ["j1", "j1", "j2"]) all.put(await hold(JSON.stringify(reading(job)), null));
	return all;
}

const plan = (part: Partial<HeadPlan>): HeadPlan => ({
	id: "a",
	in_use: false,
	rests: true,
	tubes: [],
	ports: [],
	swept_cc: null,
	spread: null,
	findings: [],
	gone: [],
	todo: [],
	...part,
});

const tube = (part: Partial<HeadTube>): HeadTube => ({
	id: "t3",
	differs: ["length", "deviation", "end", "pieces"],
	length: 812.4,
	deviation: -0.4,
	within: true,
	end: [1, 2, 3],
	bore: null,
	...part,
});

const title = (kind: string, id: string) => `${kind} ${id.slice(1)}`;

claim("the plan with each reading is asked of the records of its job alone", async () => {
	let asked: { op: string; slot: string; records: string[] } | null = null;
	const ask: Ask = async (kind, question) => {
		asked = question as typeof asked;
		return JSON.stringify([{ id: kind }]);
	};
	same(await askWith(ask, await held(), "j1", SLOT), [{ id: "with" }]);
	const q = asked as unknown as { op: string; slot: string; records: string[] };
	same([q.op, q.slot, q.records.length], ["with", SLOT, 2]);
});

claim(
	"what the plan becomes that cannot be worked out is a sentence, and none is an empty list",
	async () => {
		const all = await held();
		const why = await refused(askWith(async () => `{"error":"calculation stopped"}`, all, "j1", SLOT));
		same(why.message, "calculation stopped");
		same(await askWith(async () => "null", all, "j1", SLOT), []);
	},
);

claim(
	"a tube is said with its length, how far it is off its target and whether that is within tolerance",
	() => {
		const said = lines(plan({ tubes: [tube({})] }), "mm", title);
		same(said[0], {
			mark: "agreed",
			words: "tube 3 is 812.40 mm, 0.40 mm short of target, within tolerance",
		});
		same(said[1]?.words, "tube 3 ends at 1.00, 2.00, 3.00 mm");
		same(said.length, 2);
		const inches = lines(plan({ tubes: [tube({ deviation: 25.4, within: false })] }), "in", title);
		same(inches[0], { mark: "warn", words: "tube 3 is 31.984 in, 1.000 in over target, outside tolerance" });
	},
);

claim("what one reading leaves open is said, and never a figure in its place", () => {
	const none = tube({ length: null, deviation: null, within: null, end: null });
	const said = lines(plan({ tubes: [none] }), "mm", title);
	same(
		said.map((l) => [l.mark, l.words]),
		[
			["missing", "tube 3 has no length"],
			["missing", "tube 3 has no place"],
		],
	);
});

claim("findings that stand or go away with a reading are said with it", () => {
	const f = { severity: "warn" as const, rule: "spread", text: "They differ." };
	const off = { ...f, rule: "length-tolerance", text: "Too long." }; // the tube's own line says it
	const said = lines(plan({ findings: [f, off], gone: [f, off] }), "mm", title);
	same(
		said.map((l) => [l.mark, l.words]),
		[
			["warn", "They differ."],
			["agreed", "no longer: They differ."],
		],
	);
});

claim("where nothing of the plan rests on a slot, or nothing changes, that is said", () => {
	same(lines(plan({ rests: false }), "mm", title)[0]?.words, "nothing of the plan rests on this yet");
	same(lines(plan({}), "mm", title)[0]?.words, "the plan is the same with each of them");
});

claim("how far readings lie apart is said in both units", () => {
	const head = (part: Partial<Head>): Head => ({
		id: "",
		dev: "",
		hlc: "",
		text: "",
		unit: "mm",
		tool: "",
		person: "",
		at: "",
		...part,
	});
	// 1 3/4 in and 44 mm: 44.45 − 44 = 0.45 mm = 0.0177 in
	const said = apart([head({ nm: 44_450_000 }), head({ nm: 44_000_000 })]);
	holds(said.includes("0.450 mm") && said.includes("0.018 in"), said);
	same(
		apart([head({ udeg: 72_000_000 }), head({ udeg: 72_500_000 })]),
		"The two that disagree lie 0.5° apart.",
	);
	same(apart([head({ nm: 1 })]), "");
	same(apart([head({ text: "round" }), head({ text: "oval" })]), "");
});

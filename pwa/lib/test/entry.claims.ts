// Claims about what a screen decides before a value is kept: range, doubt, the
// next slot, and figures as they are shown. The ranges are those of schema.json.

import { asked, asksFor, nextSlot } from "../fields";
import { judge, type Verdict } from "../judge";
import { asRead, both, degrees, figure, fraction, isDate, typed } from "../say";
import { claim, holds, same } from "./claim";

const field = (slot: string) => {
	const ask = asked(slot);
	if (!ask) throw new Error(`${slot} is not in the field table`);
	return ask.field;
};
const WIDTH = field("port/p1/width"); // 5 to 200 mm, most 20 to 80

function why(v: Verdict): string {
	if (v.is === "fault") return v.why;
	return v.is === "ask" ? v.question : "";
}

claim("a width of 1 5/8 in is good in whichever unit the keypad stands", () => {
	for (const unit of ["mm", "in"] as const) {
		const v = judge(WIDTH, "1 5/8 in", unit);
		same([v.is, v.is === "good" && v.typed.v], ["good", 41_275_000]);
	}
});

claim("a figure typed in the wrong unit is asked, or refused with what it would be", () => {
	// 41.3 typed as inches is 1049 mm, outside; 6.5 as inches is 165.1 mm, inside and unusual
	const far = judge(WIDTH, "41.3", "in");
	same(far.is, "fault");
	holds(why(far).startsWith("Port width: 1049.020 mm"), why(far));
	holds(why(far).includes("allowed 5 to 200 mm"), why(far));
	holds(why(far).includes("41.300 mm"), why(far));
	const bore = judge(field("tube/t1/od"), "1.625 in", "mm");
	same(bore.is, "good");
	const small = judge(field("element/e1/clr"), "8", "mm"); // 8 in would be 203 mm
	same(small.is, "ask");
	holds(why(small).includes("203.200 mm"), why(small));
});

claim("a text that can be read two ways is asked and not changed", () => {
	const v = judge(field("target/self/length"), "33/4", "in");
	same([v.is, v.is === "ask" && v.typed.v], ["ask", 209_550_000]);
});

claim("what cannot be read names the field, the text and the range", () => {
	const v = judge(WIDTH, "4 1//2", "in");
	same(v.is, "fault");
	for (const part of ["Port width", '"4 1//2"', "allowed 5 to 200 mm"]) holds(why(v).includes(part), why(v));
});

claim("half a cylinder is refused", () => {
	same(judge(field("engine/self/cylinders"), "4.5", "mm").is, "fault");
	same(judge(field("engine/self/cylinders"), "4", "mm").is, "good");
});

claim("a round port is asked for its diameter and not for a width", () => {
	const word = (s: string) => (s === "port/p1/shape" ? "round" : "");
	const names = asksFor("port", "p1", word).map((a) => a.field.name);
	same([names.includes("diameter"), names.includes("width")], [true, false]);
});

claim("what a flange is made like is asked apart from what is measured of the head", () => {
	const none = () => "";
	const names = asksFor("bank", "A", none).map((a) => a.field.name);
	same(names, ["thickness", "material", "datum", "along"]);
	const making = asksFor("bank", "A", none, "making").map((a) => a.field.name);
	same([making[0], making.includes("thickness"), making.includes("revision")], ["bolt_size", false, true]);
	const after = (slot: string) =>
		nextSlot(
			[],
			slot,
			(s) => s !== slot,
			none,
			() => false,
		);
	same([after("bank/A/along"), after("bank/A/web")], ["", ""]);
});

claim("a round port is not asked how it is turned, a D is, and measured points have no width", () => {
	const asks = (shape: string) => asksFor("port", "p", (s) => (s.endsWith("shape") ? shape : ""));
	const turns = ["round", "d", "points"].map((s) => asks(s).some((a) => a.field.name === "turn"));
	same(turns, [false, true, true]);
	same(
		asks("points").some((a) => a.field.name === "width"),
		false,
	);
});

claim("after the shape comes the first size of that shape, without the calculation", () => {
	const word = (s: string) => (s === "port/p1/shape" ? "round" : "");
	const left = (s: string) => s !== "port/p1/cylinder" && s !== "port/p1/shape";
	same(
		nextSlot([], "port/p1/shape", left, word, () => false),
		"port/p1/diameter",
	);
});

claim("the last value of a piece leads back to its tube unless more stands on that page", () => {
	const todo = [{ slot: "element/e1/length" }, { slot: "element/e2/turn" }, { slot: "tube" }];
	const next = (near: boolean) =>
		nextSlot(
			todo,
			"element/e1/length",
			(s) => s !== "element/e1/length",
			() => "straight",
			() => near,
		);
	same([next(false), next(true)], ["", "element/e2/turn"]);
});

claim("figures are rounded once, with a true minus sign and no negative zero", () => {
	same([figure(41.275, "mm"), figure(41.275, "in"), fraction(41.275)], ["41.28", "1.625", "1 5/8"]);
	same([figure(-57.094, "mm"), degrees(-0.01), degrees(72.25)], ["−57.09", "0.0°", "72.3°"]);
	same([figure(null, "mm"), figure(Number.NaN, "mm")], ["–", "–"]);
	same(fraction(6), "15/64 +0.002"); // 6 mm is 0.23622 in, 15/64 is 0.234375 in
});

claim("a reading is said as it was typed, with its unit once", () => {
	const head = { id: "", dev: "", hlc: "", tool: "", person: "", at: "" };
	same(
		[
			typed({ ...head, text: "1 5/8", unit: "in", nm: 1 }),
			typed({ ...head, text: "41.3 mm", unit: "mm", nm: 1 }),
			typed({ ...head, text: "72", unit: "deg", udeg: 1 }),
			typed({ ...head, text: "-154", unit: "deg", udeg: 1 }),
			typed({ ...head, text: "-3 mm", unit: "mm", nm: 1 }),
			typed({ ...head, text: "round", unit: "word" }),
			both({ ...head, text: "-25.4", unit: "mm", nm: -25400000 }),
			asRead(-3, "mm"),
		],
		["1 5/8 in", "41.3 mm", "72°", "−154°", "−3 mm", "round", "−25.400 mm = −1.000 in", "−3.000 mm"],
	);
});

claim("a day is a day of the calendar and of no zone", () => {
	const no = ["2027-02-29", "2027-13-01", "2027-04-00", "27-1-1", "1999-12-31", "2027-+4-01"];
	same(["2000-01-01", "2027-02-28", "2028-02-29"].map(isDate), [true, true, true]);
	same(no.filter(isDate), []);
});

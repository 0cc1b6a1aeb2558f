import {
	band,
	book,
	digits,
	gives,
	nextOfEngine,
	ruleReading,
	sizeReading,
	speedIn,
	steps,
	wanting,
	worked,
} from "../sizing";
import type { Given, Input, Spread } from "../typessizing";
import { claim, same } from "./claim";

// 1 in = 25.4 mm and 1 ft = 0.3048 m by definition: 245 ft/s is 74.676 m/s, 1 in² 645.16 mm², 1 in³ 16.387064 cm³.
claim("a figure of a rule is said in the unit that is looked at, to 4 digits", () => {
	same(worked(44.2214, "mm", "in"), "1.741 in");
	same(worked(74.676, "m/s", "in"), "245 ft/s");
	same(worked(74.676, "m/s", "mm"), "74.68 m/s");
	same(worked(645.16, "mm²", "in"), "1 in²");
	same(worked(163.87064, "cm³", "in"), "10 in³");
	same(worked(120.5, "°", "in"), "120.5°");
	same(digits(4799.6), "4800");
	same(digits(1017091), "1017091");
	same(digits(0.0123456), "0.012");
	same(band([40, 70], "°", "mm"), "40 to 70°");
	same(band([50, 130], "mm", "in"), "1.97 to 5.12 in");
	same(band([7, 14], "", "in"), "7 to 14");
});

claim("the book's figure stands beside it where it is in another unit", () => {
	const given = (part: Partial<Given>): Given => ({
		...{
			what: "",
			name: "",
			value: 44.2214,
			low: 44,
			high: 45,
			unit: "mm",
			book: 1.741,
			book_unit: "in",
			start: "",
		},
		...part,
	});
	same(book(given({}), "mm"), "1.741 in");
	same(book(given({}), "in"), "");
	same(book(given({ unit: "m/s", value: 74.676, book: 245, book_unit: "ft/s" }), "mm"), "245 ft/s");
	same(book(given({ unit: "rpm", value: 5200, book: 5200, book_unit: "rpm" }), "mm"), "");
	same(book(given({ value: 1004, book: 100.4, book_unit: "cm" }), "in"), "100.4 cm");
});

claim("what a rule gives is read where the length counts from", () => {
	const spread = (start: string, value: number): Spread => ({
		...{
			what: "primary length",
			question: "how long",
			unit: "mm",
			from: 0,
			to: 1,
			open: "",
			chosen: null,
			start,
		},
		marks: [
			{
				rule: "length-850",
				name: "",
				value,
				low: value,
				high: value,
				grade: "",
				moved: false,
				outside: false,
			},
		],
	});
	const both = [spread("flange", 924), spread("valve", 1000)];
	same(gives(both, "primary length", "valve", "length-850"), 1000);
	same(gives(both, "primary length", "flange", "length-850"), 924);
	same(gives(both, "primary length", "flange", "length-wave"), null);
	same(gives(both, "primary bore", "flange", "length-850"), null);
});

claim("a size of tube is kept as it is sold, to the bit", () => {
	const kept = (v: number, u: "mm" | "in") => {
		const r = sizeReading(v, u, "");
		return [r.text, r.unit, r.v, r.res];
	};
	same(kept(34.925, "in"), ["1.375", "in", 34_925_000, 0]);
	same(kept(1.2446, "in"), ["0.049", "in", 1_244_600, 0]);
	same(kept(34.925, "mm"), ["34.925", "mm", 34_925_000, 0]);
	same(kept(40, "in"), ["40", "mm", 40_000_000, 0]);
	same(kept(100, "mm"), ["100", "mm", 100_000_000, 0]);
});

claim("a length of a rule is taken in the unit that is looked at, no finer than a rule is", () => {
	const kept = (v: number, u: "mm" | "in") => {
		const r = ruleReading(v, u, "");
		return [r.text, r.unit, r.v, r.res];
	};
	// 38.65 in are 981.71 mm, 1 in is 25.4 mm by definition.
	same(kept(981.7123, "in"), ["38.65", "in", 981_710_000, 254_000]);
	same(kept(981.7123, "mm"), ["981.7", "mm", 981_700_000, 100_000]);
	same(kept(254, "in"), ["10.00", "in", 254_000_000, 254_000]);
});

claim("a scale has 3 to 8 round marks", () => {
	same(steps(39.8, 47.1), [40, 42, 44, 46]);
	same(steps(860, 1380), [900, 1000, 1100, 1200, 1300]);
	same(steps(40.1, 54.9), [42, 44, 46, 48, 50, 52, 54]); // 45 and 50 alone are too few
	same(steps(5, 5), [5]);
	for (const [from, to] of [
		[0.1, 0.13],
		[-3, 4],
		[1, 1000],
		[57, 59.3],
	] as const) {
		const n = steps(from, to).length;
		if (n < 3 || n > 8) throw new Error(`${n} marks from ${from} to ${to}: ${steps(from, to).join(", ")}`);
	}
});

claim("the engine's data are asked for one after the other, and then no further", () => {
	const left =
		(...slots: string[]) =>
		(s: string) =>
			!slots.includes(s);
	same(nextOfEngine("engine/self/stroke", left()), "engine/self/rod");
	same(nextOfEngine("engine/self/stroke", left("engine/self/rod")), "engine/self/compression");
	same(nextOfEngine("engine/self/compression", left()), "engine/self/firing_order"); // fuel is petrol unless said
	same(nextOfEngine("engine/self/peak_power_rpm", left()), ""); // and not what is to be decided yet
	same(nextOfEngine("engine/self/roll", left()), "");
});

claim("what a rule waits for is all that it takes, and nothing that is there", () => {
	const input = (key: string, slot: string): Input => ({
		...{ label: "", unit: "mm", value: null, from: "", grade: "", source: "", likely: null },
		key,
		slot,
	});
	const words = (known: Record<string, string>) => (s: string) => known[s] ?? "";
	const [od, wall] = ["target/self/od", "target/self/wall"];
	same(wanting(input("primary_id", od), words({})), [od, wall]);
	same(wanting(input("primary_id", od), words({ [od]: "44.45" })), [wall]);
	const [length, from, port] = ["target/self/length", "target/self/from", "engine/self/valve_to_face"];
	same(wanting(input("length_from_valve", length), words({})), [length, from, port]);
	same(wanting(input("length_from_valve", length), words({ [length]: "800", [from]: "flange" })), [port]);
	same(wanting(input("length_from_valve", length), words({ [from]: "valve" })), [length]);
	same(wanting(input("bore", "engine/self/bore"), words({})), ["engine/self/bore"]);
	same(wanting(input("of nothing", ""), words({})), []);
});

claim("a speed stands apart from its unit, to a tenth", () => {
	same(speedIn(131, "mm"), { figure: "131.0", unit: "m/s" });
	same(speedIn(74.676, "in"), { figure: "245.0", unit: "ft/s" });
});

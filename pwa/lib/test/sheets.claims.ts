// Claims about the figures that stand behind the key of a sheet, and about what draws.

import { NotHere, Superseded } from "../calc";
import { askDrawer, startDrawer } from "../drawer";
import { baseOf, entryOf, figuresOf, keyWith, type SheetAsk, type SheetList } from "../sheets";
import { longText } from "../textlong";
import { claim, holds, same } from "./claim";

const asks: SheetAsk[] = [
	{ name: "od", label: "Branch OD", unit: "mm", low: 3, high: 250, default: "" },
	{ name: "angle", label: "Angle", unit: "°", low: 15, high: 90, default: "90" },
	{ name: "welds", label: "Welds", unit: "", low: 1, high: 24, default: "" },
];

claim("figures go behind a key and come back as typed; a length without a unit is in the unit shown", () => {
	const key = keyWith("saddle-t1", asks, { od: "1 1/8", angle: "60,5", welds: " " }, "in");
	same(key, "saddle-t1,od=1 1/8 in,angle=60.5");
	same([baseOf(key), figuresOf(key)], ["saddle-t1", { od: "1 1/8 in", angle: "60.5" }]);
	same(keyWith("saddle-t1", asks, { od: "28 mm", welds: "3" }, "in"), "saddle-t1,od=28 mm,welds=3");
	same(keyWith("saddle-t1", asks, {}, "mm"), "saddle-t1");
});

claim("a sheet that asks can be tried with figures behind its key, and another one cannot", () => {
	const one = (key: string, why: string, a?: SheetAsk[]) => ({
		key,
		title: key,
		why,
		forms: [],
		warnings: [],
		sign: "5e",
		...(a && { asks: a }),
	});
	const list: SheetList = {
		inputs: "5e",
		sheets: [one("saddle-t1", "say the OD", asks), one("wrap-t1", "")],
	};
	same(entryOf(list, "saddle-t1")?.why, "say the OD");
	same(
		[entryOf(list, "saddle-t1,od=28")?.why, entryOf(list, "saddle-t1,od=28")?.key],
		["", "saddle-t1,od=28"],
	);
	same([entryOf(list, "wrap-t1,od=28")?.key, entryOf(list, "wrap-t9,od=28")], ["wrap-t1", undefined]);
});

claim(
	"what draws answers, says in a sentence that it is not there, and leaves other reasons as they are",
	async () => {
		let fails: Error | null = null;
		startDrawer(async (kind, q) => {
			if (fails) throw fails;
			return `${kind} ${JSON.stringify(q)}`;
		});
		same(await askDrawer("sheets", { job: "j" }), 'sheets {"job":"j"}');
		const why = () => askDrawer("sheets", {}).then(String, (err: Error) => err);
		fails = new NotHere("/long.wasm: 503");
		same(((await why()) as Error).message, longText.away);
		fails = new Superseded("sheets");
		holds((await why()) === fails, "it is the same");
	},
);

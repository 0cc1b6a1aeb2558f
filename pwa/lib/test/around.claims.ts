// Claims about collectors, neighbours, mock-ups and CSV: what a page works out
// itself, and how entry goes on.

import { bar, leverRows, shadow } from "../around";
import { lraCSV, xyzCSV } from "../csv";
import { asksFor, isNumbered, kinds, nextSlot, parentOf } from "../fields";
import { Held } from "../held";
import { askPoints, fieldsOf, piecesOf } from "../listed";
import * as state from "../state";
import type { Point, ReadingInput } from "../types";
import type { PlanTube } from "../typesplan";
import { claim, holds, refused, same } from "./claim";
import { Disk, Memory } from "./memory";
import { started } from "./started";

const none = (_slot: string) => "";
const anything = () => true;
const after = (slot: string, word = none, left: (s: string) => boolean = anything) =>
	nextSlot(
		[],
		slot,
		(s) => s !== slot && left(s),
		word,
		() => false,
	);

claim("x leads to y and y to z, also where all three may stay open", () => {
	same([after("mark/m/x"), after("mark/m/y"), after("mark/m/z")], ["mark/m/y", "mark/m/z", ""]);
	same(
		[after("crook/c/crown_x"), after("crook/c/crown_y"), after("crook/c/crown_z")],
		["crook/c/crown_y", "crook/c/crown_z", ""],
	);
	same([after("port/p/aim_x"), after("port/p/aim_z")], ["port/p/aim_y", ""]);
	same(
		[after("point/p/y"), after("part/p/to_x", (s) => (s.endsWith("shape") ? "rod" : ""))],
		["point/p/z", "part/p/to_y"],
	);
});

claim("what may stay open and stands alone leads to what is required, else back", () => {
	same(after("collector/c/frame"), "collector/c/sockets");
	same(after("collector/c/pitch"), "collector/c/at_x");
	same(after("point/p/side"), "");
	same(after("neighbour/n/gap"), "");
	same(
		after("neighbour/n/moves", (s) => (s.endsWith("moves") ? "turns" : "")),
		"neighbour/n/axis_at_x",
	);
	same(after("tube/t/socket"), "");
	same(after("tube/t/collector"), "tube/t/socket");
	same([after("tube/t/trust_length"), after("tube/t/trust_rotation")], ["tube/t/trust_turn", ""]);
});

claim("what a job has once goes through everything that is left", () => {
	same(
		[after("engine/self/rod"), after("engine/self/roll")],
		["engine/self/firing_order", "engine/self/roll_y"],
	);
});

claim("a collector's required fields follow one another from its sockets to where it flows", () => {
	const path = ["collector/c/sockets"];
	for (;;) {
		const next = after(path.at(-1) ?? "", none, (s) => !path.includes(s));
		if (next === "") break;
		path.push(next);
	}
	same(
		path.map((s) => s.split("/")[2]),
		["sockets", "nest", "socket_id", "at_x", "at_y", "at_z", "axis_x", "axis_y", "axis_z"],
	);
});

claim("a part at a taped point is asked for no coordinates, and a name for no reading", () => {
	const names = (point: string) =>
		asksFor("part", "p", (s) => (s.endsWith("shape") ? "sphere" : s.endsWith("/point") ? point : "")).map(
			(a) => a.field.name,
		);
	same(
		[names("").includes("x"), names("point-1").includes("x"), names("point-1").includes("radius")],
		[true, false, true],
	);
	same(
		asksFor("neighbour", "n", none).some((a) => a.field.name === "name"),
		false,
	);
});

claim("every kind's parent is a kind, and what is listed by itself bears a number", () => {
	for (const k of Object.values(kinds)) {
		if (!k || k.single) continue;
		const of = parentOf(k.name);
		holds(of === "" || kinds[of] !== undefined, `${k.name} belongs to a ${of}`);
		holds(of !== "" || k.name === "bank" || isNumbered(k.name), `${k.name} bears no number`);
	}
	same([parentOf("tube"), parentOf("tape"), parentOf("collector")], ["port", "point", ""]);
});

claim("the shadow of an ellipsoid of uncertainty is its covariance without the third axis", () => {
	const axes: [Point, Point, Point] = [
		[0, 0, 1],
		[1, 0, 0],
		[0, 1, 0],
	];
	same(shadow({ id: "p", at: null, sigma: [3, 2, 1], axes }, 0, 1), { long: 2, short: 1, angle: 0 });
	same(shadow({ id: "p", at: null, sigma: [3, 2, 1], axes }, 0, 2), { long: 3, short: 2, angle: 90 });
	// turned by 30° about z: the longer axis lies at 30° on the sheet
	const [c, s] = [Math.cos(Math.PI / 6), Math.sin(Math.PI / 6)];
	const turned = shadow(
		{
			id: "p",
			at: null,
			sigma: [3, 2, 1],
			axes: [
				[0, 0, 1],
				[c, s, 0],
				[-s, c, 0],
			],
		},
		0,
		1,
	);
	holds(
		Math.abs((turned?.angle ?? 0) - 30) < 1e-9 && Math.abs((turned?.long ?? 0) - 2) < 1e-12,
		JSON.stringify(turned),
	);
	same(shadow({ id: "p", at: null }, 0, 1), null);
});

claim("a scale bar is 1, 2 or 5 of a power of ten", () => {
	same([bar(7), bar(0.43), bar(2), bar(0), bar(Number.NaN)], [5, 0.2, 2, 0, 0]);
});

claim("joints stand by how far they move the end; those that move nothing are left out", () => {
	const rows = leverRows([
		{ joint: 1, end_per_mm_of_mark: 2 },
		{ joint: 2, end_per_mm_of_mark: 13.1 },
		{ joint: 3, end_per_mm_of_mark: 0 },
	]);
	same(
		rows.map((r) => r.joint),
		[2, 1],
	);
});

const TUBE = {
	id: "t1",
	lra: [
		{ length: 38.1, rotation: 180, angle: 72, clr: 76.2, disputed: [] },
		{ length: 0, rotation: -0.0000004, angle: 12.34567, clr: 76.2, disputed: [] },
	],
	last: 86.36,
	xyz: [
		[0, 0, 0],
		[0, -12.5, 93.4600004],
	],
} as unknown as PlanTube;

claim(
	"bender data are written as CSV with a point, in mm, and the last straight has a row of its own",
	() => {
		same(lraCSV(TUBE).split("\r\n"), [
			"bend,length_mm,rotation_deg,angle_deg,clr_mm",
			"1,38.100,180.000,72.000,76.200",
			"2,0.000,0.000,12.346,76.200",
			"last,86.360,,,",
			"",
		]);
		same(xyzCSV(TUBE).split("\r\n"), [
			"point,x_mm,y_mm,z_mm",
			"1,0.000,0.000,0.000",
			"2,0.000,-12.500,93.460",
			"",
		]);
	},
);

claim("a piece from a list is kept as a reading that says the same in words and in figures", () => {
	const bend = fieldsOf({ type: "bend", turn: 71.99996, clr: 76.2, rotation: -0.00001 });
	const of = (name: string) => bend[name] as ReadingInput;
	same([bend.type, of("turn").text, of("turn").v], ["bend", "72.0000", 72_000_000]);
	same(
		[of("clr").text, of("clr").v, of("rotation").text, of("rotation").v],
		["76.200", 76_200_000, "0.0000", 0],
	);
	same(
		[bend.length, (fieldsOf({ type: "straight", length: 0.0004 }).length as ReadingInput).v],
		[undefined, 0],
	);
});

claim("rows of bender data become pieces in their order, without straights of nothing", () => {
	const row = { rotation: 10, angle: 72, clr: 76.2 };
	same(
		piecesOf(
			[
				{ ...row, length: 38.1 },
				{ ...row, length: 0 },
			],
			86.36,
		).map((e) => e.length ?? e.type),
		[38.1, "bend", "bend", 86.36],
	);
	same(piecesOf([{ ...row, length: 0 }], 0).length, 1);
});

claim("a list that cannot be read comes back as sentences with line and column", async () => {
	const why =
		'Line 3, column 2 (y): cannot read "five": it is no number\nLine 4, column 1 (x): nothing stands there';
	const err = await refused(
		askPoints(async () => JSON.stringify({ error: why }), new Held(), "j", "t1", {
			text: "",
			clr: "",
			unit: "mm",
		}),
	);
	same(err.message.split("\n").length, 2);
});

async function setUp() {
	await started(new Memory(new Disk()));
}

claim("entries of lists without a parent are numbered through, and a tape hangs to its point", async () => {
	await setUp();
	const a = await state.addEntity("j", "point", "", {});
	const b = await state.addEntity("j", "point", "", {});
	const tape = await state.addEntity("j", "tape", b, {});
	const number = (id: string) => state.readingsOf("j", `point/${id}/number`)[0]?.text;
	same([number(a), number(b)], ["1", "2"]);
	same(
		state.listOf("j", "tape", b).map((e) => e.id),
		[tape],
	);
	same(state.listOf("j", "tape", a), []);
	const undo = await state.removeEntity("j", "point", a);
	same([state.listOf("j", "point").length, state.removedOf("j", "point", "")], [1, [a]]);
	await undo();
	same(
		state.listOf("j", "point").map((e) => e.id),
		[a, b],
	);
});

claim("a path from a list stands in place of the one before, and one undo brings that back", async () => {
	await setUp();
	const old = await state.addEntity("j", "element", "t1", { type: "straight" });
	const other = await state.addEntity("j", "element", "t2", { type: "straight" });
	const undo = await state.replaceList("j", "element", "t1", [
		fieldsOf({ type: "straight", length: 100 }),
		fieldsOf({ type: "bend", turn: 90, clr: 50, rotation: 0 }),
		fieldsOf({ type: "straight", length: 80 }),
	]);
	const types = () =>
		state.listOf("j", "element", "t1").map((e) => state.readingsOf("j", `element/${e.id}/type`)[0]?.text);
	same(types(), ["straight", "bend", "straight"]);
	same(
		state.listOf("j", "element", "t2").map((e) => e.id),
		[other],
	);
	same(state.removedOf("j", "element", "t1"), [old]);
	const numbers = () =>
		state
			.listOf("j", "element", "t1")
			.map((e) => Number(state.readingsOf("j", `element/${e.id}/number`)[0]?.text));
	same(numbers(), [2, 3, 4]);
	await undo();
	same(
		state.listOf("j", "element", "t1").map((e) => e.id),
		[old],
	);
	same(numbers(), [1]);
	await state.removeEntity("j", "element", old);
	await state.addEntity("j", "element", "t1", { type: "bend" }); // what was chalked once is not chalked on another
	same(numbers(), [2]);
});

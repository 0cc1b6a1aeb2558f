import { keepStations, odOf, pipeReading, pipes, straightAt } from "../fixture";
import { arrowAt, fixtureItems, tagsOf } from "../solid/fixture";
import { add, dot, norm, sub, times } from "../solid/vec";
import * as state from "../state";
import type { FixturePlan, FixtureStation } from "../typesfixture";
import type { PlanPiece } from "../typesplan";
import { claim, holds, same } from "./claim";
import { Disk, Memory } from "./memory";
import { started } from "./started";

const station = (part: Partial<FixtureStation>): FixtureStation => ({
	...{ id: "t1-s3", name: "1-B", tube: "t1", collector: "", element: "e3", straight: 2, along: 212.3456 },
	...{ to_bend_before: null, to_bend_after: null, at: [0, 0, 200], dir: [1, 0, 0], opening: [0, 0, 1] },
	...{ opening_turn: 0, post: 180, axis_height: 200, foot: [0, 0], foot_at: [0, 0, 0], top: [0, 0, 180] },
	...{
		arm: 0,
		arm_turn: null,
		arm_to: null,
		cradle_angle: 0,
		cradle_turn: 0,
		wrap: 180,
		od: 40,
		spacer: null,
	},
	...{ clearance: null, nearest: "", joint: "", suggested: true, removable: false, removable_mock_up: false },
	...{ said: false, clamped_at: null, clamped_off: null, checked: false },
	...part,
});

const plan = (part: Partial<FixturePlan>): FixturePlan => ({
	...{ base: null, upright: null, mock_up_od: null, stations: [], no_room: [], ends: [], earth: null },
	...{ release: { header: null, mock_up: null }, stopped: false, disputed: [], findings: [] },
	...part,
});

async function setUp(): Promise<void> {
	await started(new Memory(new Disk()));
}

const texts = (slot: string) => state.readingsOf("j", slot).map((r) => `${r.text} ${r.standing}`);

claim("a suggested station is kept with what it holds and where, once, and goes again", async () => {
	await setUp();
	const both = [station({}), station({ id: "t1-s5", name: "1-C", along: 400 })];
	const undo = await keepStations("j", both);
	same(
		state.listOf("j", "station").map((e) => e.id),
		["t1-s3", "t1-s5"],
	);
	same(texts("station/t1-s3/on"), ["t1 head"]);
	same(texts("station/t1-s3/along"), ["212.35 head"]);
	same([texts("station/t1-s3/number"), texts("station/t1-s5/number")], [["1 head"], ["2 head"]]);
	await keepStations("j", both);
	same(texts("station/t1-s3/along"), ["212.35 head"]);
	await undo();
	same(state.listOf("j", "station"), []);
});

claim("what is said of a kept station stands over what was said before, and can be taken back", async () => {
	await setUp();
	await keepStations("j", [station({})], { removable: "yes" });
	const undo = await keepStations("j", [station({})], { removable: "no" });
	same(texts("station/t1-s3/removable"), ["no head", "yes replaced"]);
	same(texts("station/t1-s3/along"), ["212.35 head"]);
	await undo();
	same(texts("station/t1-s3/removable")[0], "yes head");
});

claim("a place on a tube lies on the straight that holds it, and on none within a bend", () => {
	const piece = (kind: "straight" | "bend", length: number) => ({ kind, length }) as PlanPiece;
	const pieces = [piece("straight", 50), piece("bend", 100), piece("straight", 200)];
	same(straightAt(pieces, 20), { from: 0, to: 50 });
	same(straightAt(pieces, 50), { from: 0, to: 50 });
	same(straightAt(pieces, 100), null);
	same(straightAt(pieces, 350.004), { from: 150, to: 350 });
	same(straightAt(pieces, 351), null);
});

// 1.315 in · 25.4 = 33.401 mm
claim("a pipe of a mock-up is kept in inches as its standard prints it", () => {
	const one = pipes.find((p) => p.nps === "1");
	if (!one) throw new Error("no pipe of NPS 1");
	const r = pipeReading(one);
	same([r.text, r.unit, r.v, r.res], ["1.315 in", "in", 33_401_000, 25_400]);
	holds(Math.abs(odOf(one) - 33.401) < 1e-9, `OD ${odOf(one)}`);
});

claim("a cradle is drawn below its tube, away from where it is open, and as wide as it reaches round", () => {
	const bowOf = (s: FixtureStation) => {
		const last = fixtureItems(plan({ stations: [s] })).at(-1);
		if (last?.solid.shape !== "rod") throw new Error("no bow");
		return last.solid.points;
	};
	for (const wrap of [180, 90]) {
		const s = station({ wrap });
		const points = bowOf(s);
		const far = points.map((p) => sub(p, s.at));
		for (const p of far) holds(Math.abs(norm(p) - 23) < 1e-9, `${norm(p)} mm from the middle`);
		const lip = far[0] ?? [0, 0, 0];
		holds(
			Math.abs(dot(times(lip, 1 / 23), s.opening) + Math.cos((wrap * Math.PI) / 360)) < 1e-9,
			`lip of ${wrap}`,
		);
		const middle = far[Math.floor(far.length / 2)] ?? [0, 0, 0];
		holds(norm(add(times(middle, 1 / 23), s.opening)) < 1e-9, "its middle is opposite");
	}
});

claim("what comes off is told from what stays by more than a colour, and the way out is an arrow", () => {
	const way = {
		free: true,
		dir: [0, 0, 1] as [number, number, number],
		name: "straight up",
		steps: [],
		remove: ["a"],
	};
	const p = plan({
		stations: [
			station({ id: "a", name: "A", removable: true }),
			station({ id: "b", name: "B", at: [100, 0, 0] }),
		],
		release: { header: { ...way, fixed: [], travel: 100, tried: 9, nearest: null }, mock_up: null },
	});
	same(
		tagsOf(p).map((t) => t.words),
		["A ↑", "B"],
	);
	same(arrowAt(p.stations, { ...way, fixed: [], travel: 100, tried: 9, nearest: null }), [
		[50, 0, 100],
		[50, 0, 260],
	]);
	holds(fixtureItems(p).filter((i) => i.of === "fixture/out").length > 3, "shaft and head of the arrow");
	same(fixtureItems(plan({ stations: [] })), []);
});

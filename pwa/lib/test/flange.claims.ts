// Claims about what the pages of the flange work out themselves: how it lies once it is
// turned over, how its drawings are laid out, and what a fitted shape writes.

import { box, loopPath, outlinePath, type Size, turned } from "../../part/outline";
import { boxOf, laidAt, laidLoop, nearest, timesLonger } from "../face";
import { FIT, fittedFields, shiftOf } from "../fit";
import type { Corner, OnFace, PlanFit } from "../typesflange";
import { claim, holds, same } from "./claim";

const round = (v: number) => Math.round(v * 1000) / 1000 || 0;
const places = (p: OnFace[]) => p.map(([x, y]) => [round(x), round(y)]);

claim("turned over, x changes its sign before it is turned and moved; arcs bulge the other way", () => {
	const over = { angle: 90, mirrored: true, move: [10, 0] as OnFace };
	same(places([laidAt(over, [3, 4])]), [[6, -3]]); // −3, 4 turned by 90° is −4, −3
	same(
		laidLoop({ angle: 0, mirrored: true, move: [330, 0] }, [[100, 5, 0.4]]).map(([x, y, b]) => [x, y, b]),
		[[230, 5, -0.4]],
	);
	same(nearest([{ at: [0, 0] as OnFace }, { at: [10, 0] as OnFace }], [6, 1])?.at, [10, 0]);
});

claim("a box holds arcs, either way they bulge", () => {
	const circle: Corner[] = [
		[25, 10, 1],
		[15, 10, 1],
	];
	const b = boxOf([circle]);
	same([b.x0, b.x1, b.y0, b.y1].map(round), [15, 25, 5, 15]); // of radius 5 about 20, 10
	const quarter = boxOf([
		[
			[10, 0, -(Math.SQRT2 - 1)],
			[0, 10, 0],
		],
	]);
	holds(quarter.x1 === 10 && quarter.y1 === 10, "a quarter that bulges inwards stays within its ends");
});

claim("misses are drawn 1, 2 or 5 times a power of ten as long, never shorter", () => {
	same(
		[timesLonger([0.4, 0.2], 25), timesLonger([0.97], 25), timesLonger([40], 25), timesLonger([], 25)],
		[50, 20, 1, 1],
	);
	same([timesLonger([1e-5], 25), timesLonger([0.25], 25)], [1, 100]); // rounding is not drawn at all
});

const D: Size = {
	shape: "d",
	width: 0,
	height: 0,
	corner: 6,
	diameter: 0,
	radius: 19.5,
	flat: 14,
	turn: 0,
	points: [],
};

claim("a D is drawn as the plan has it, and turned counter-clockwise", () => {
	// where its fillets touch the circle and the flat: flanges[0].ports[0] of testdata/golden/flange.plan.json, less 41, 27
	same(
		outlinePath(D, 0, 0, 1),
		"M-11.56 15.71A19.5 19.5 0 1 0 -11.56 -15.71A6 6 0 0 0 -14 -10.87L-14 10.87A6 6 0 0 0 -11.56 15.71Z",
	);
	same(places([turned(90, [-14, 0])]), [[0, -14]]);
	const up = box({ ...D, turn: -90 });
	same(Math.round(Math.max(...up.map(([, y]) => y)) * 10) / 10, 14); // its flat is up
});

claim("an arc seen from the other side turns the other way", () => {
	const half: Corner[] = [
		[5, 0, 1],
		[-5, 0, 0],
	];
	same(
		loopPath(half, ([x, y]) => [x, -y]),
		"M5 0A5 5 0 0 0 -5 0L5 0Z",
	);
	same(
		loopPath(half, ([x, y]) => [-x, -y], true),
		"M-5 0A5 5 0 0 1 5 0L-5 0Z",
	);
});

claim(
	"a fitted shape writes its own fields, to what can be read, and moves the port where its centre is elsewhere",
	() => {
		const fit: PlanFit = {
			shape: "stadium",
			width: 39.92172,
			height: 33.057459,
			turn: -0.31,
			shift: [0.016, -0.016],
			worst: 0.086,
			worst_at: 6,
			sigma: 0.05,
		};
		const fields = fittedFields("p3", [205.9, 27], fit);
		same(Object.keys(fields), ["port/p3/shape", "port/p3/width", "port/p3/height", "port/p3/turn"]);
		same(
			[fields["port/p3/width"]?.text, fields["port/p3/width"]?.v, fields["port/p3/turn"]?.v],
			["39.92", 39_920_000, -300_000],
		);
		holds(
			Object.values(fields).every((f) => f.tool === FIT),
			"every reading says where it is from",
		);
		const off = fittedFields("p3", [205.9, 27], { ...fit, shift: [0.3, 0] });
		same([off["port/p3/x"]?.text, off["port/p3/y"]?.text, shiftOf(fit)], ["206.20", "27.00", null]);
	},
);

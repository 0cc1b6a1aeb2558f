// What is drawn of a fixture in three dimensions: plates, posts, cradles, and the way out as an
// arrow. mm, in the frame of the first bank.

import type { Point } from "../types";
import type { FixtureBase, FixturePlan, FixtureStation, WayOut } from "../typesfixture";
import { circle, type Spot } from "./hull";
import type { Coat, Item } from "./model";
import { add, cross, norm, placed, poseOf, square, sub, times, turned, unit } from "./vec";

const POST = 8; // radius of a post whose foot says none
const CRADLE = 3; // radius of the bar that a cradle is drawn as
const STEPS = 12; // of a cradle's bow
const ARROW = 5; // radius of its shaft
const BARB = 30; // length of the head's bars
const LONG = 160; // of the arrow

/** fixtureItems lists what is to be drawn of a fixture. */
export const fixtureItems = (plan: FixturePlan): Item[] => [
	...[plan.base, plan.upright].flatMap((b) => (b ? [plate(b)] : [])),
	...plan.stations.flatMap((s) => station(s, radiusOf(plan, s.id))),
	...(plan.release.header?.free ? arrow(plan.stations, plan.release.header) : []),
];

const radiusOf = (plan: FixturePlan, id: string): number => {
	const foot = [plan.base, plan.upright].flatMap((b) => b?.feet ?? []).find((f) => f.what === id);
	return foot ? foot.diameter / 2 : POST;
};

// The face on which things stand is the upper one.
function plate(b: FixtureBase): Item {
	const pose = poseOf(sub(b.at, times(b.normal, b.thickness)), b.normal, b.x);
	const outline: Spot[] = b.outline.map(([x, y]) => [x, y]);
	const holes = b.holes.map((h) => circle(h.at[0], h.at[1], h.diameter / 2));
	return {
		of: "fixture/base",
		name: "base plate",
		layer: "fixture",
		solid: { shape: "plate", pose, outline, holes, thickness: b.thickness },
		coat: { coat: "base" },
	};
}

function station(s: FixtureStation, radius: number): Item[] {
	const coat: Coat = { coat: s.removable ? "off" : "post" };
	const base = { of: `station/${s.id}`, name: `station ${s.name}`, layer: "fixture" as const, coat };
	return [
		{ ...base, solid: { shape: "rod", points: [s.foot_at, s.top], radius } },
		...(s.arm_to && s.arm > 0
			? [{ ...base, solid: { shape: "rod" as const, points: [s.top, s.arm_to], radius: radius / 2 } }]
			: []),
		{ ...base, solid: { shape: "rod", points: bow(s), radius: CRADLE } },
	];
}

// The middle of a cradle's shell, from one lip to the other.
function bow(s: FixtureStation): Point[] {
	const away = times(unit(s.opening), -(s.od / 2 + CRADLE));
	return Array.from({ length: STEPS + 1 }, (_, i) =>
		add(s.at, turned(away, unit(s.dir), ((i / STEPS - 0.5) * s.wrap * Math.PI) / 180)),
	);
}

/** arrowAt is where the way out begins and ends: over the middle of what is held. */
export function arrowAt(stations: FixtureStation[], way: WayOut): [Point, Point] | null {
	if (stations.length === 0 || norm(way.dir) === 0) return null;
	const sum = stations.reduce((at, s) => add(at, s.at), [0, 0, 0] as Point);
	const from = times(sum, 1 / stations.length);
	return [from, add(from, times(unit(way.dir), LONG))];
}

function arrow(stations: FixtureStation[], way: WayOut): Item[] {
	const ends = arrowAt(stations, way);
	if (!ends) return [];
	const [from, tip] = ends;
	const pose = poseOf(tip, way.dir, square(unit(way.dir)));
	const base = {
		of: "fixture/out",
		name: "way out",
		layer: "fixture" as const,
		coat: { coat: "way" as const },
	};
	const rod = (points: Point[]): Item => ({ ...base, solid: { shape: "rod", points, radius: ARROW } });
	const barbs = Array.from({ length: 6 }, (_, i) => (i * Math.PI) / 3).map((a) =>
		rod([tip, placed(pose, [BARB * 0.5 * Math.cos(a), BARB * 0.5 * Math.sin(a), -BARB])]),
	);
	return [rod([from, tip]), ...barbs];
}

/** A name over the picture, at a place. */
export interface Tag {
	key: string; // as marked: "station/s1"
	at: Point;
	words: string;
	off: boolean; // it comes off
}

/** tagsOf are the names of stations, beside their posts. */
export const tagsOf = (plan: FixturePlan): Tag[] =>
	plan.stations.map((s) => ({
		key: `station/${s.id}`,
		at: add(s.at, times(unit(cross(s.dir, s.opening)), s.od / 2)),
		words: s.removable ? `${s.name} ↑` : s.name,
		off: s.removable,
	}));

// Things to be drawn, as geometry for the graphics card. Only shapes here, no colours.

import { BufferAttribute, BufferGeometry, Vector3 } from "three";
import { ball, box, join, type Mesh, pipe, plate, rings, rod, sphere } from "../../lib/solid/mesh";
import type { Solid } from "../../lib/solid/model";
import { add, dot, type Pose, placed, sub, times } from "../../lib/solid/vec";
import type { Point } from "../../lib/types";

/** What a plane without an end is drawn as large as: the middle and the reach of everything else, mm. */
export interface Reach {
	middle: Point;
	radius: number;
}

const CELLS = 10; // a plane is a grid of so many cells each way

export const isLines = (s: Solid) => s.shape === "lines" || s.shape === "grid";

/** geometryOf is the surface of a solid, or its lines. */
export function geometryOf(s: Solid, reach: Reach): BufferGeometry {
	switch (s.shape) {
		case "pipe":
			return surface(pipe(s.path, s.outside, s.inside));
		case "rings":
			return surface(rings(s.at, s.radius, s.bead));
		case "ellipsoid":
			return surface(ball(s.at, ...s.axes));
		case "rod":
			return surface(rod(s.points, s.radius));
		case "balls":
			return surface(join(s.at.map((p) => sphere(p, s.radius))));
		case "box":
			return surface(box(s.at, s.x, s.y, s.z));
		case "plate":
			return surface(plate(s.pose, s.outline, s.holes, s.thickness));
		case "lines":
			return segments(s.lines.flatMap((line) => line.slice(1).flatMap((to, i) => [line[i] as Point, to])));
		case "grid":
			return segments(grid(s.pose, reach));
	}
}

function surface(m: Mesh): BufferGeometry {
	const g = new BufferGeometry();
	g.setAttribute("position", new BufferAttribute(m.positions, 3));
	g.setAttribute("normal", new BufferAttribute(m.normals, 3));
	g.setIndex(new BufferAttribute(m.indices, 1));
	return g;
}

function segments(points: Point[]): BufferGeometry {
	return new BufferGeometry().setFromPoints(points.map((p) => new Vector3(...p)));
}

// The part of a plane that lies before the rest, as lines; its middle is the foot of the rest's middle.
function grid(pose: Pose, reach: Reach): Point[] {
	const off = sub(reach.middle, pose.at);
	const foot = add(reach.middle, times(pose.z, -dot(off, pose.z)));
	const half = reach.radius;
	const points: Point[] = [];
	for (let i = 0; i <= CELLS; i++) {
		const k = (2 * i * half) / CELLS - half;
		for (const [a, b] of [
			[k, -half],
			[k, half],
			[-half, k],
			[half, k],
		] as const)
			points.push(placed({ ...pose, at: foot }, [a, b, 0]));
	}
	return points;
}

// The port faces of a job as they were measured, for the drawing in three dimensions.

import { used } from "../../lib/fields";
import type { Spot } from "../../lib/solid/hull";
import type { Face } from "../../lib/solid/model";
import { listOf } from "../../lib/state";
import { known } from "../known";
import { bankLayout, type PortSpot } from "../layout";
import { isDrawn, outlinePath } from "../outline";

const CORNERS = 96; // of an outline

/** facesOf are the banks of a job with what is known of them. */
export const facesOf = (job: string): Face[] =>
	listOf(job, "bank").map(({ id }) => {
		const { bolts, ports } = bankLayout(job, id, null);
		const nm = used(known(job, `bank/${id}/thickness`))?.nm;
		return {
			bank: id,
			thickness: nm === undefined ? null : nm / 1e6,
			bolts: bolts.map(({ x, y, hole }) => ({ x, y, hole })),
			ports: ports.filter((p) => isDrawn(p.size)).map(outlineOf),
		};
	});

// The outline is the one of the flat drawings, followed along; there y points down.
function outlineOf(p: PortSpot): Spot[] {
	const path = document.createElementNS("http://www.w3.org/2000/svg", "path");
	path.setAttribute("d", outlinePath(p.size, 0, 0, 1));
	const long = path.getTotalLength();
	return Array.from({ length: CORNERS }, (_, k): Spot => {
		const at = path.getPointAtLength((long * k) / CORNERS);
		return [p.x + at.x, p.y - at.y];
	});
}

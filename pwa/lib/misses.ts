// What a cut leaves that misses a bend's centre, asked of what comes behind the first load.

import { parse } from "./answers";
import { askDrawer } from "./drawer";

/** One miss; mm, degrees and percent. */
export interface Missed {
	off: number;
	lean: number; // of the face from square
	wide: number; // of the face in the plane of the bend
	ovality: number;
	step: number; // the greatest against a round end that sits as well as it can
	isSquare: boolean; // leans no more than a square cut may
}

/** missesOf works them out for a tube's OD and a CLR, both in mm. It rejects with a sentence. */
export async function missesOf(od: number, clr: number): Promise<Missed[]> {
	return parse<Missed[]>(await askDrawer("misses", { op: "misses", od, clr }));
}

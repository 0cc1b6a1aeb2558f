// How the things of a drawing are called where there is little room.

import { noteText } from "../../lib/state";
import { nameOf } from "../known";

/** shortName is what somebody called a neighbour; everything else, and a neighbour without a name, goes by its number. */
export const shortName = (job: string, id: string): string =>
	noteText(job, `neighbour/${id}/name`) || nameOf(job, id);

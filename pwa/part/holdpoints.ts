import { type Asked, asksFor } from "../lib/fields";
import { word } from "./known";

/** holdPoints are the points at which work is held, as the table has them. */
export const holdPoints = (job: string): Asked[] =>
	asksFor("hold", "self", (s) => word(job, s)).filter((a) => a.field.words?.includes("passed"));

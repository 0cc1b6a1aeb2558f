import { listOf } from "../lib/state";
import { nameOf, titleOf } from "./known";

/** shortName names an entry within a sentence, where it is one of several: "port 3", "hole 5". */
export function shortName(job: string, id: string): string {
	const kind = ["hole", "opening"].find((k) => listOf(job, k).some((e) => e.id === id));
	const name = kind ? titleOf(job, kind, id) : nameOf(job, id);
	const short = name.split(",")[0] ?? name;
	return short.slice(0, 1).toLowerCase() + short.slice(1);
}

/** begun is a sentence that begins with a name. */
export const begun = (sentence: string) => sentence.slice(0, 1).toUpperCase() + sentence.slice(1);

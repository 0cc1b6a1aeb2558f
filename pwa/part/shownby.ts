import { asked } from "../lib/fields";
import type { Route } from "../lib/state";
import { photo as photoWords } from "../lib/textphoto";
import { ownerTitle } from "./known";

/** shownBy names what the photos of a slot show: "Port 2, Port width", "Tube 1", "the job". */
export function shownBy(job: string, slot: string): string {
	if (slot.startsWith("job/")) return photoWords.ofJob;
	const ask = asked(slot);
	return ask ? `${ownerTitle(job, slot)}, ${ask.field.label}` : ownerTitle(job, slot);
}

/** photoRoute leads to a photo. */
export const photoRoute = (job: string, slot: string, sha: string): Route => ({
	screen: "photo",
	job,
	slot,
	id: sha,
});

import { signal } from "@preact/signals";
import { measure } from "../lib/textmeasure";

const SHOWN_MS = 6_000;

const last = signal("");
let timer: ReturnType<typeof setTimeout> | undefined;

/** tellSaved is called when the tablet's disk has a value, never before. */
export function tellSaved(what: string) {
	clearTimeout(timer);
	last.value = what;
	timer = setTimeout(() => {
		last.value = "";
	}, SHOWN_MS);
}

// <SavedNote> says for a few seconds what was just saved, also on the page that follows.
// Props: none (see tellSaved).  Calls: nothing.
export function SavedNote() {
	return (
		<p
			class={last.value === "" ? "saved-note saved-none" : "saved-note"}
			aria-live="polite"
			data-test="saved-note"
		>
			{last.value === "" ? "" : `${last.value}: ${measure.saved}`}
		</p>
	);
}

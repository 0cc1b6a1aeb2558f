import { signal } from "@preact/signals";
import { text } from "../lib/text";

const UNDO_MS = 10_000;

interface Offer {
	what: string;
	undo: () => Promise<void>;
}

const offer = signal<Offer | null>(null);
let timer: ReturnType<typeof setTimeout> | undefined;

/** offerUndo shows for ten seconds what was done, with the way back. */
export function offerUndo(what: string, undo: () => Promise<void>) {
	clearTimeout(timer);
	offer.value = { what, undo };
	timer = setTimeout(() => {
		offer.value = null;
	}, UNDO_MS);
}

// <Undo> is the bar at the foot that takes the last removal back.
// Props: none (see offerUndo).  Calls: the undo it was given, once.
export function Undo() {
	const o = offer.value;
	if (!o) return null;
	return (
		<div class="undo" role="status">
			<span class="grow">{o.what}</span>
			<button
				type="button"
				data-test="undo"
				onClick={() =>
					// the way back stays offered until it was taken; a storage that fails has its own red bar
					o.undo().then(
						() => {
							if (offer.value === o) offer.value = null;
						},
						() => clearTimeout(timer),
					)
				}
			>
				{text.undo}
			</button>
		</div>
	);
}

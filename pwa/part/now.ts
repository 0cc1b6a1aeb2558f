import { signal } from "@preact/signals";

// The time that ages are counted from. It moves every ten seconds, so that an
// idle screen costs nothing worth naming; what shows it redraws by itself.
export const now = signal(Date.now());

setInterval(() => {
	now.value = Date.now();
}, 10_000);

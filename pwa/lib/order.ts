// Keys for lists whose entries are added on several tablets at once: a key
// between its neighbours', compared bytewise, so that no entry is renumbered.
// A key is a fraction written in base 36 without the leading "0."; it never
// ends in "0", so there is always room below it.

const DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz";
const BASE = DIGITS.length;

const digit = (key: string, i: number) => (i < key.length ? DIGITS.indexOf(key.charAt(i)) : 0);

/**
 * between returns a key above low and below high. "" for low is the start of
 * the list, "" for high its end. Keys made by others are taken as they are;
 * where nothing fits between (equal keys, or keys of another making) the new
 * key stands directly behind low.
 */
export function between(low: string, high: string): string {
	if (!plain(low) || !plain(high) || (high !== "" && low >= high)) return `${low}i`;
	let key = "";
	let open = high === ""; // no upper limit from here on
	for (let i = 0; ; i++) {
		const a = digit(low, i);
		const b = open ? BASE : digit(high, i);
		if (b - a > 1) return key + DIGITS.charAt(step(a, b, low, high));
		key += DIGITS.charAt(a);
		if (b > a) open = true;
	}
}

// At the end of a list a small step keeps keys short: halving would use up a
// digit in five additions.
function step(a: number, b: number, low: string, high: string): number {
	if (high === "" && low !== "") return a + 1;
	return (a + b) >> 1;
}

const plain = (key: string) => key === "" || /^[0-9a-z]*[1-9a-z]$/.test(key);

/** compare orders keys bytewise, then the ids of entries with equal keys. */
export function compare(a: { order: string; id: string }, b: { order: string; id: string }): number {
	if (a.order !== b.order) return a.order < b.order ? -1 : 1;
	if (a.id !== b.id) return a.id < b.id ? -1 : 1;
	return 0;
}

// Figures and times as a screen says them. A length is kept in nanometres and
// never changed by being shown; rounding happens here and nowhere else.

import { text } from "./text";
import { inches, mm, sixtyfourths } from "./typed";
import type { Head } from "./types";

export type Units = "mm" | "in";

/** A figure that may not be worked out yet. */
export type Maybe = number | null | undefined;

const known = (v: Maybe): v is number => typeof v === "number" && Number.isFinite(v);

/** figure writes a length given in mm, without its unit: mm to 0.01, inches to 0.001. */
export function figure(v: Maybe, units: Units): string {
	if (!known(v)) return text.none;
	const nm = Math.round(v * 1e6);
	return minus(units === "mm" ? mm(nm, 2) : inches(nm));
}

/** length is figure with its unit. */
export const length = (v: Maybe, units: Units) => (known(v) ? `${figure(v, units)} ${units}` : text.none);

/** asRead is a length in full, as it is shown beside what was typed. */
export const asRead = (v: number, units: Units) =>
	minus(units === "in" ? `${inches(Math.round(v * 1e6))} in` : `${mm(Math.round(v * 1e6), 3)} mm`);

/** offset is a length with its sign always shown. */
export function offset(v: Maybe, units: Units): string {
	if (!known(v)) return text.none;
	return `${v > 0 ? "+" : ""}${length(v, units)}`;
}

/** fraction writes a length given in mm as the nearest 1/64 in with what remains: "1 5/8 +0.003". */
export function fraction(v: Maybe): string {
	if (!known(v)) return "";
	const near = sixtyfourths(Math.round(v * 1e6));
	const rest = inches(near.remainder);
	const sign = near.remainder > 0 ? "+" : "";
	return Number(rest) === 0 ? minus(near.text) : `${minus(near.text)} ${sign}${minus(rest)}`;
}

/** degrees writes an angle to 0.1. */
export function degrees(v: Maybe): string {
	if (!known(v)) return text.none;
	const s = v.toFixed(1);
	return `${minus(s === "-0.0" ? "0.0" : s)}°`;
}

/** wholeDegrees is degrees without a nought behind the point. */
export const wholeDegrees = (v: Maybe): string => degrees(v).replace(".0°", "°");

/** plain writes a number without trailing zeros. */
export const plain = (v: Maybe) => (known(v) ? minus(String(Number(v.toFixed(3)))) : text.none);

/** value writes a number of the field table in its unit, for sentences about ranges. */
export function value(v: number, quantity: string, unit?: string): string {
	if (quantity === "length") return `${plain(v)} mm`;
	if (quantity === "angle") return `${plain(v)}°`;
	return unit ? `${plain(v)} ${unit}` : plain(v);
}

/** typed is a reading as it was typed, with its unit where the text has none and a true minus sign before it. */
export function typed(h: Head): string {
	if (h.unit === "word") return h.text;
	const figure = h.text.replace(/^\s*-/, "−");
	if (h.unit === "1" || /[a-z"'°″′]/i.test(figure)) return figure;
	return h.unit === "deg" ? `${figure}°` : `${figure} ${h.unit}`;
}

/** both is a reading in the two length units, "" for what is no length. */
export function both(h: Head): string {
	if (h.nm === undefined) return "";
	return minus(`${mm(h.nm, 3)} mm`) + minus(` = ${inches(h.nm)} in`);
}

/** inView is a reading in the unit that lengths are shown in, "" where that is how it was typed. */
export function inView(h: Head, units: Units): string {
	if (h.nm === undefined || h.unit === units) return "";
	return length(h.nm / 1e6, units);
}

/** resolution says how finely a reading was read. */
export function resolution(h: Head): string {
	if (!h.res) return "";
	if (h.nm !== undefined) return `${plain(h.res / 1e6)} mm`;
	return h.udeg !== undefined ? `${plain(h.res / 1e6)}°` : plain(h.res / 1e6);
}

/** clock is the time of day, "14:05"; with the day in front when that is another one. */
export function clock(ms: number, now: number): string {
	const d = new Date(ms);
	const time = `${two(d.getHours())}:${two(d.getMinutes())}`;
	return d.toDateString() === new Date(now).toDateString()
		? time
		: `${d.getFullYear()}-${two(d.getMonth() + 1)}-${two(d.getDate())} ${time}`;
}

/** moment reads the time stamp of a reading and writes it as clock does. */
export function moment(at: string, now: number): string {
	const ms = Date.parse(at);
	return Number.isNaN(ms) ? at : clock(ms, now);
}

/** age says how long ago something was. */
export function age(ms: number): string {
	const s = Math.max(0, Math.floor(ms / 1000));
	if (s < 5) return text.age.now;
	if (s < 60) return text.age.seconds(s);
	if (s < 3600) return text.age.minutes(Math.floor(s / 60));
	if (s < 48 * 3600) return text.age.hours(Math.floor(s / 3600));
	return text.age.days(Math.floor(s / 86400));
}

/** span says how long something lasts. */
export function span(ms: number): string {
	const min = Math.max(0, Math.floor(ms / 60000));
	if (min < 60) return text.age.forMinutes(min);
	if (min < 48 * 60) return text.age.forHours(Math.floor(min / 60));
	return text.age.forDays(Math.floor(min / 1440));
}

/** megabytes writes a size in bytes: 1 MB is 1,000,000 bytes. */
export function megabytes(bytes: number): string {
	const mb = bytes / 1e6;
	return mb >= 1000 ? `${(mb / 1000).toFixed(1)} GB` : `${mb < 10 ? mb.toFixed(1) : Math.round(mb)} MB`;
}

/** fileName makes of a text what any machine takes as the name of a file: "Heron-four-invented". */
export const fileName = (name: string, none: string) =>
	name.replace(/[^A-Za-z0-9]+/g, "-").replace(/^-+|-+$/g, "") || none;

/** isDate tells whether a text is a day from 2000 on as year-month-day, as the calculation takes it. No zone plays a part in it. */
export function isDate(s: string): boolean {
	const m = /^(\d{4})-(\d{2})-(\d{2})$/.exec(s);
	if (!m) return false;
	const [y, mo, d] = [Number(m[1]), Number(m[2]), Number(m[3])];
	const last = new Date(Date.UTC(y, mo, 0)).getUTCDate();
	return y >= 2000 && mo >= 1 && mo <= 12 && d >= 1 && d <= last;
}

/** notSaved says that something was not kept, and why. */
export const notSaved = (e: unknown) =>
	`${text.status.notSaved}: ${e instanceof Error ? e.message : String(e)}`;

const two = (n: number) => String(n).padStart(2, "0");

// A real minus sign is as wide as a plus and is not taken for a hyphen.
const minus = (s: string) => s.replace("-", "−");

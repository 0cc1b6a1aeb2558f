// What a tablet must be able to do before it is paired. A page whose certificate
// was clicked through looks right and is not offline at all; that is found out
// here, and each line that is not good says what to do.

import { inTime } from "./request";

/** The result, as the shop gets it with the code. */
export interface Checks {
	worker: boolean; // the service worker registered: the app starts without the shop
	socket: boolean; // a websocket to the shop opens
	secure: boolean; // the browser calls the page secure
	strict: boolean; // a write is done only when it is on the disk
	persisted: boolean; // the browser keeps the storage until a person deletes it
	clock_ms: number; // the shop's clock minus the tablet's, 0 when not known
}

export type CheckName = "secure" | "worker" | "socket" | "strict" | "persisted" | "clock" | "name";
/** bad: no pairing. warn: pairing is possible, and a person should know. */
export type Outcome = "running" | "good" | "warn" | "bad";

/** One line of the list. */
export interface Line {
	name: CheckName;
	is: Outcome;
	said: string; // what the browser said when it failed, or a figure
}

/** What can be tried out, so that a test can be the browser. All but isSecure may reject or never end. */
export interface Probes {
	host: string; // of the page's address
	isSecure(): boolean;
	worker(): Promise<void>;
	socket(): Promise<void>;
	strict(): Promise<boolean>;
	persisted(): Promise<boolean | null>; // null: the browser does not say
	clock(): Promise<number | null>; // the shop's clock minus the tablet's, ms; null: not known
}

const LIMIT_MS = { worker: 60_000, socket: 8_000, strict: 20_000, persisted: 3_000, clock: 8_000 };
const CLOCK_MS = 120_000;

/** START is the list before anything is known. */
export const START: Line[] = (
	["name", "secure", "worker", "socket", "strict", "persisted", "clock"] as const
).map((name) => ({ name, is: "running", said: "" }));

/** selftest tries everything at once and tells each line as soon as it is known; it resolves when all are. It never rejects. */
export async function selftest(p: Probes, told: (lines: Line[]) => void, limits = LIMIT_MS): Promise<Checks> {
	let lines = START;
	const say = (name: CheckName, is: Outcome, said = "") => {
		lines = lines.map((l) => (l.name === name ? { name, is, said } : l));
		told(lines);
	};
	const secure = p.isSecure();
	say("name", isAddress(p.host) ? "warn" : "good", p.host);
	say("secure", secure ? "good" : "bad");
	const must = async (name: "worker" | "socket") => {
		const why = await outcome(limits[name], p[name]());
		say(name, why === null ? "good" : "bad", why ?? "");
		return why === null;
	};
	const strict = async () => {
		const is = await inTime(limits.strict, p.strict(), false);
		say("strict", is ? "good" : "warn");
		return is;
	};
	const persisted = async () => {
		const is = await inTime(limits.persisted, p.persisted(), null);
		say("persisted", is ? "good" : "warn", is === null ? "unknown" : "");
		return is === true;
	};
	const clock = async () => {
		const ms = await inTime(limits.clock, p.clock(), null);
		const isOff = ms !== null && Math.abs(ms) > CLOCK_MS;
		say("clock", ms === null || isOff ? "warn" : "good", ms === null ? "" : `${Math.round(ms)}`);
		return Math.round(ms ?? 0);
	};
	const [worker, socket, isStrict, isKept, clock_ms] = await Promise.all([
		must("worker"),
		must("socket"),
		strict(),
		persisted(),
		clock(),
	]);
	return { worker, socket, secure, strict: isStrict, persisted: isKept, clock_ms };
}

/** canPair tells whether what offline work needs is there. */
export const canPair = (c: Checks): boolean => c.worker && c.socket && c.secure;

/** isAddress tells whether a host is a bare address: what a tablet holds would belong to it, and addresses change. */
export const isAddress = (host: string): boolean => /^\[.*\]$|^\d{1,3}(\.\d{1,3}){3}$/.test(host);

// outcome is null for success, else what was said.
const outcome = (ms: number, tried: Promise<void>): Promise<string | null> =>
	inTime<string | null>(
		ms,
		tried.then(
			() => null,
			(err: unknown) => (err instanceof Error ? err.message : String(err)) || "refused",
		),
		"no answer",
	);

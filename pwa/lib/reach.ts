// Why the shop is not reached. A browser is told only that a request failed, so
// the causes are told apart by what else can be seen: whether there is a network,
// whether the name leads to an address, and how quickly the failure came. Where
// that leaves two of them, both are said.

/** One cause, or two where they look alike from here. */
export type Cause = "answers" | "elsewhere" | "offline" | "name" | "route" | "refused" | "refused-or-name";

export interface Reach {
	cause: Cause;
	isSure: boolean;
	said: string; // what the shop machine said, where it answered
	ms: number; // how long the try took
}

/** What can be seen, so that a test can be the network. */
export interface Sight {
	online(): boolean; // the browser believes that there is a network
	ask(limitMS: number): Promise<{ status: number; text: string }>; // rejects when no answer came
	named(limitMS: number): Promise<boolean | null>; // false: the name leads nowhere; true: nobody said so within the limit; null: not known
	wait(ms: number): Promise<void>;
	now(): number; // ms
}

const LIMIT_MS = 9_000;
const LOOKUP_MS = 6_000; // a name that is unknown at once for one is so for the other
const QUICK_MS = 1_500; // a port that is closed says no at once; an address where nobody is takes some seconds

/** reach looks once. It never rejects. */
export async function reach(see: Sight): Promise<Reach> {
	const from = see.now();
	const took = () => see.now() - from;
	const done = (cause: Cause, isSure: boolean, ms = took(), said = ""): Reach => ({
		cause,
		isSure,
		said,
		ms,
	});
	const named = see.named(LIMIT_MS).catch(() => null);
	const asked = await see.ask(LIMIT_MS).catch(() => null);
	const ms = took();
	if (asked) {
		const isElsewhere = asked.status === 421; // it does not go by this name
		return done(isElsewhere ? "elsewhere" : "answers", true, ms, isElsewhere ? asked.text : "");
	}
	if (!see.online()) return done("offline", true, ms);
	const isQuick = ms < QUICK_MS;
	const isNamed = await (isQuick ? Promise.race([named, see.wait(LOOKUP_MS).then(() => true)]) : named);
	if (isNamed === false) return done("name", true, ms);
	if (!isQuick) return done("route", isNamed === true, ms);
	return isNamed ? done("refused", true, ms) : done("refused-or-name", false, ms);
}

/**
 * finds tells, while the shop is reached, whether this browser's second way of
 * looking names up finds the shop's: not everywhere does it ask where the first asks.
 */
export async function finds(see: Sight): Promise<boolean> {
	return (await see.named(LIMIT_MS).catch(() => null)) === true;
}

/** browserSight looks with this page's browser; isProved says that finds was true once. */
export function browserSight(isProved: boolean): Sight {
	return {
		online: () => navigator.onLine,
		now: () => performance.now(),
		wait: (ms) => new Promise((resolve) => setTimeout(resolve, ms)),
		ask: async (limitMS) => {
			const res = await fetch("/api/health", { cache: "no-store", signal: AbortSignal.timeout(limitMS) });
			return { status: res.status, text: await res.text() };
		},
		named: async (limitMS) => {
			const is = await named(location.hostname, location.port, limitMS);
			return is === false && !isProved ? null : is;
		},
	};
}

// named has the browser look the name up for a call that is never made. Of each
// kind of address it says when there is none; when that is so of all, it is done at
// once, and otherwise waits for long. Nothing is sent but a few packets to the shop
// machine.
function named(host: string, port: string, limitMS: number): Promise<boolean | null> {
	if (!("RTCPeerConnection" in globalThis)) return Promise.resolve(null);
	if (!("onicecandidateerror" in RTCPeerConnection.prototype)) return Promise.resolve(null);
	return new Promise((resolve) => {
		const call = new RTCPeerConnection({ iceServers: [{ urls: `stun:${host}:${port || "443"}` }] });
		let failed = false; // for one kind of address
		const end = (is: boolean | null) => {
			clearTimeout(limit);
			call.close();
			resolve(is);
		};
		const limit = setTimeout(() => end(true), limitMS);
		call.onicecandidateerror = (e) => {
			const { errorText } = e as RTCPeerConnectionIceErrorEvent;
			if (/lookup/i.test(errorText)) failed = true;
			else if (/timed? ?out/i.test(errorText)) end(true);
		};
		call.onicecandidate = (e) => {
			if (e.candidate?.type === "srflx") end(true);
			if (e.candidate === null) end(failed ? false : null);
		};
		call.createDataChannel("");
		call
			.createOffer()
			.then((offer) => call.setLocalDescription(offer))
			.catch(() => end(null));
	});
}

// Claims are checked one after the other; the Go tests beside lib run them in
// node or in a page and report each by its name.

declare const process:
	| {
			stdout: { write(text: string, done: () => void): void };
			exit(code: number): void;
			env: Record<string, string | undefined>;
	  }
	| undefined;

interface Claim {
	name: string;
	check: () => void | Promise<void>;
}

const claims: Claim[] = [];
const lengthy: Claim[] = [];

/** claim adds a check under a name that says what is true. */
export function claim(name: string, check: () => void | Promise<void>): void {
	claims.push({ name, check });
}

/** lengthyClaim adds one that takes seconds; it comes behind all others, before which a broken module is mostly caught. */
export function lengthyClaim(name: string, check: () => void | Promise<void>): void {
	lengthy.push({ name, check });
}

/** same fails unless got and want are written alike as JSON. */
export function same(got: unknown, want: unknown, what = ""): void {
	const [g, w] = [JSON.stringify(got), JSON.stringify(want)];
	if (g !== w) throw new Error(`${what} got ${g}, want ${w}`);
}

/** holds fails with what unless is is true. */
export function holds(is: boolean, what: string): void {
	if (!is) throw new Error(what);
}

/** refused resolves with the error that p ends in, and fails when it ends in none. */
export async function refused(p: Promise<unknown>): Promise<Error> {
	let got: unknown;
	try {
		got = await p;
	} catch (err) {
		return err as Error;
	}
	throw new Error(`not refused: ${JSON.stringify(got)}`);
}

export const wait = (ms: number) => new Promise<void>((done) => setTimeout(done, ms));

/** random returns numbers from 0 to 1 that depend on the seed alone (mulberry32, public domain, from memory). */
export function random(seed: number): () => number {
	let a = seed >>> 0;
	return () => {
		a = (a + 0x6d2b79f5) >>> 0;
		let t = Math.imul(a ^ (a >>> 15), a | 1);
		t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
		return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
	};
}

/**
 * report checks all claims and writes {name: "" or what is wrong}; in a page it leaves that behind as results. With
 * STOP_AT_WRONG set it ends at the first that is wrong: of a broken module nobody asks for more.
 */
export async function report(): Promise<void> {
	const results: Record<string, string> = {};
	const stops = typeof process === "object" && process.env.STOP_AT_WRONG !== undefined;
	for (const { name, check } of [...claims, ...lengthy]) {
		try {
			await check();
			results[name] = "";
		} catch (err) {
			results[name] = err instanceof Error ? (err.stack ?? err.message) : String(err);
			if (stops) break;
		}
	}
	// what a claim left running, a timer for a later try, does not hold up the end
	if (typeof process === "object") {
		const { exit } = process;
		process.stdout.write(JSON.stringify(results), () => exit(0));
	} else {
		Object.assign(globalThis, { results });
	}
}

// Does a server flush a change to its disk before it says a word about it? Asked
// of strace: the server runs under it while one change after the other is
// written, with time between them.

import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { freePort, kill, startClient, startServer } from "./child.mjs";
import { readings } from "./readings.mjs";

const CHANGES = 20;
const CALLS = "fsync,fdatasync,sync_file_range,msync,sync,syncfs,write,writev,sendto,sendmsg";

/** hasStrace tells whether the question can be asked here. */
export function hasStrace() {
	try {
		execFileSync("strace", ["-V"], { stdio: "ignore" });
		return true;
	} catch {
		return false;
	}
}

/**
 * watch returns how many flushes there were for CHANGES changes, and before how
 * many of the changes a flush had ended by the time that the server first wrote
 * the change's id to a socket.
 */
export async function watch(peer, folder) {
	const { server } = await import(`../peer/${peer}.mjs`);
	const dir = mkdtempSync(path.join(folder ?? os.tmpdir(), "bench-"));
	const trace = path.join(dir, "trace");
	const plan = { peer, mode: "trickle", count: CHANGES, every: 250, seed: 7 };
	const running = [];
	try {
		const port = await freePort();
		const { command, args, env } = server({ port, dir });
		// -D: strace is the child of what it watches, which then is our own child and ends by our hand.
		const watched = ["-D", "-f", "-yy", "-s", "4096", "-e", `trace=${CALLS}`, "-o", trace, command, ...args];
		const shop = await startServer({ command: "strace", args: watched, env }, port);
		running.push(shop);
		const clients = ["writer", "reader"].map((role) => startClient({ ...plan, role, server: port, port }));
		running.push(...clients.map((c) => c.child));
		for (const what of ["ready", "go"]) await Promise.all(clients.map((c) => c.ask(what)));
		await kill(shop);
		return count(readFileSync(trace, "latin1"), readings(CHANGES, plan.seed));
	} finally {
		for (const child of running) await kill(child);
		rmSync(dir, { recursive: true, force: true });
	}
}

// count walks through the trace. A flush counts where it ends; a socket write
// where it begins; an answer that only says which documents are wanted is no
// word about having them.
function count(trace, records) {
	const lines = trace.split("\n");
	const isFlush = (l) =>
		/\b(fsync|fdatasync|msync|sync_file_range|syncfs|sync)(\(| resumed)/.test(l) && / = 0/.test(l);
	const isWord = (l) => l.includes("<TCP:") && !l.includes("missing");
	let isUp = false; // what the server does to its files before its first word on a socket tells nothing
	let flushes = 0;
	let since = 0;
	let before = 0;
	let next = 0;
	for (const l of lines) {
		isUp ||= l.includes("<TCP:");
		if (isUp && isFlush(l)) {
			flushes++;
			since++;
		}
		if (next < records.length && isWord(l) && l.includes(records[next].id)) {
			if (since > 0) before++;
			since = 0;
			next++;
		}
	}
	return { changes: records.length, told: next, flushes, before };
}

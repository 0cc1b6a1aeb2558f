// Ours: the program itself, and a client that speaks server/PROTOCOL.md over the
// websocket and keeps in memory what a tablet keeps in its database.

import { execFileSync } from "node:child_process";
import { createHash } from "node:crypto";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { deflateRawSync, inflateRawSync } from "node:zlib";
import WebSocket from "ws";

const PUSHES = 2; // on their way at once, as the tablet app has it
const BEAT_MS = 10_000;
const PACK = "deflate-raw"; // frames of more than PACK_FROM characters, as the tablet app packs them
const PACK_FROM = 2_048;

const root = fileURLToPath(new URL("../../../", import.meta.url));
const program = path.join(root, "bin", "tubewright-bench");

/** build builds the program from the sources beside this folder. */
export function build() {
	execFileSync("go", ["build", "-buildvcs=false", "-o", program, "./cmd/tubewright"], {
		cwd: root,
		stdio: "inherit",
	});
}

export function server({ port, dir }) {
	return { command: program, args: ["serve", "-addr", `127.0.0.1:${port}`, "-data", dir] };
}

/** kept counts the records on disk, after their text, hashes and chain were found sound. */
export function kept(dir) {
	const said = execFileSync(program, ["check", path.join(dir, "tubewright.db")], { encoding: "utf8" });
	return Number(/: (\d+) records/.exec(said)[1]);
}

export const connect = connectWith({ pack: [PACK] });

/** connectWith makes clients that say in their hello what they unpack. */
export function connectWith(able) {
	return (where) => client(where, able);
}

function client({ port, server, role, got }, able) {
	const held = new Map(); // id to text
	const outbox = new Map(); // id to text, in order
	const waiting = []; // ids of the outbox that are in no push yet
	let pushes = []; // ids of each push not yet read back
	let cursor = 0;
	let chain = "0".repeat(64);
	let limits = null;
	let socket;
	let packs = false;
	let level = () => {};

	const send = (frame) => {
		const text = JSON.stringify(frame);
		socket.send(packs && text.length > PACK_FROM ? deflateRawSync(text) : text);
	};

	function push() {
		while (limits && pushes.length < PUSHES && waiting.length > 0) {
			const ids = [];
			let bytes = 0;
			while (waiting.length > ids.length && ids.length < limits.push_records) {
				const id = waiting[ids.length];
				bytes += Buffer.byteLength(JSON.stringify(outbox.get(id)));
				if (ids.length > 0 && bytes > limits.push_bytes) break;
				ids.push(id);
			}
			waiting.splice(0, ids.length);
			pushes.push(new Set(ids));
			send({ t: "push", recs: ids.map((id) => outbox.get(id)) });
		}
		if (outbox.size === 0) level();
	}

	// feed takes a page only when the chain over it is the server's.
	function feed(f) {
		if (f.from !== cursor) throw new Error(`a page from ${f.from}, the cursor is at ${cursor}`);
		let end = chain;
		const fresh = [];
		for (const r of f.recs) {
			const raw = typeof r === "string" ? r : held.get(r.id);
			const id = typeof r === "string" ? JSON.parse(r).id : r.id;
			const h = createHash("sha256").update(raw).digest();
			if (typeof r !== "string" && h.toString("hex") !== r.h) throw new Error(`other bytes for ${id}`);
			end = createHash("sha256").update(end, "hex").update(id).update(h).digest("hex");
			fresh.push([id, raw]);
		}
		if (end !== f.chain) throw new Error(`the log does not continue at ${f.from}`);
		cursor = f.to;
		chain = end;
		for (const [id, raw] of fresh) {
			held.set(id, raw);
			outbox.delete(id);
			for (const p of pushes) p.delete(id);
			got(id);
		}
		pushes = pushes.filter((p) => p.size > 0);
		push();
	}

	function add(record) {
		const raw = JSON.stringify(record);
		held.set(record.id, raw);
		outbox.set(record.id, raw);
		waiting.push(record.id);
	}

	return {
		async queue(records) {
			for (const r of records) add(r);
		},
		// open connects through the proxy but under the server's own name, which it insists on.
		open() {
			const host = `127.0.0.1:${server}`;
			const headers = { Host: host, Origin: `http://${host}` };
			socket = new WebSocket(`ws://127.0.0.1:${port}/sync`, { headers, perMessageDeflate: false });
			return new Promise((resolve, reject) => {
				let beats = 0;
				const beat = () => send({ t: "hb", n: ++beats, now_ms: Date.now(), unsent: outbox.size });
				socket.on("error", reject);
				socket.on("open", () => {
					const who = { build: "bench", sv: 1, role: "bench", dev: `bench-${role}`, name: role };
					const at = { cursor, chain, unsent: outbox.size, clock_ms: Date.now() };
					send({ t: "hello", proto: [1, 1], ...who, ...at, ...able });
				});
				socket.on("message", (b, isBinary) => {
					const f = JSON.parse(isBinary ? inflateRawSync(b) : b);
					if (f.t === "welcome") {
						limits = f.limits;
						packs = f.pack === PACK;
						beat();
						setInterval(beat, BEAT_MS).unref();
						push();
						resolve();
					} else if (f.t === "feed") feed(f);
					else if (f.t === "bye" || f.t === "reset" || f.refused || f.quarantined?.length > 0)
						throw new Error(`not expected here: ${b}`);
				});
			});
		},
		write(record) {
			add(record);
			push();
		},
		sent() {
			return new Promise((resolve) => {
				level = resolve;
				push();
			});
		},
		async held() {
			return [...held.values()].map((raw) => JSON.parse(raw));
		},
	};
}

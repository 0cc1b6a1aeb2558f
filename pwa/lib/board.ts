// The wall board's end of the socket: asks for the board, keeps the shop's clock,
// and comes back by itself. It stores nothing and holds only the latest frame.

import type { Barred } from "./sync";

export interface BoardJob {
	id: string;
	name: string;
	stage: string;
	blocked: string;
	disputed: number;
	missing: number;
	stops: number;
	warnings: number;
	changed_ms: number;
	pieces?: BoardPieces; // only where one of them is cut
	decided?: { od: number; wall: number; length: number; from: string }; // mm; once it is decided what is built
}

/** How many pieces a job has, how many stand in each stage, and where each stands, tube by tube. */
export interface BoardPieces {
	all: number;
	cut: number;
	deburred: number;
	tacked: number;
	welded: number;
	inspected: number;
	each?: { name: string; stage: string }[]; // not from a shop of before it was told
}

export interface BoardTablet {
	name: string;
	last_ms: number;
	unsent: number;
	clock_ms?: number; // how far its clock is ahead of the shop's, negative when behind; only where that is too much
}

export interface Board {
	jobs: BoardJob[];
	tablets: BoardTablet[];
	aside: number; // records set aside for a person to look at
	copied: number; // tablets that two programs speak for at the same time
}

export interface BoardEvents {
	onBoard(board: Board): void;
	/** The shop was heard; now is its clock, ms since 1970. */
	onHeard(now: number): void;
	/** The shop ended the link and said why. */
	onBye(text: string): void;
	/** The shop does not let this board in; nothing that it showed may be shown any longer. */
	onBarred(why: Barred): void;
}

/** What the shop knows this board by. Without a pairing, on the shop machine itself, there is no token. */
export interface WallKey {
	dev: string;
	token: string;
}

const OPEN = 1; // WebSocket.OPEN, which is not there where there are no sockets
const BEAT_MS = 5_000;
const SILENT_MS = 20_000;
const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 15_000;
const BARRED_MS = 60_000;

/** follow keeps the board up to date from now on, and returns what connects anew at once. build is that of the page. */
export function follow(url: string, build: string, key: () => WallKey, events: BoardEvents): () => void {
	let generation = 0; // what an older socket still says is not listened to
	let failures = 0;
	let begin: ReturnType<typeof setTimeout> | undefined;
	let socket: WebSocket | null = null;

	const connect = () => {
		const mine = ++generation;
		clearTimeout(begin);
		socket?.close();
		const link = new WebSocket(url);
		socket = link;
		let beats = 0;
		let heard = Date.now();
		const beat = setInterval(() => {
			if (Date.now() - heard > SILENT_MS) return again();
			if (link.readyState === OPEN) {
				link.send(JSON.stringify({ t: "hb", n: ++beats, now_ms: Date.now() }));
			}
		}, BEAT_MS);
		const again = (least = 0) => {
			if (mine !== generation) return clearInterval(beat);
			generation++;
			clearInterval(beat);
			link.close();
			const most = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** failures++);
			begin = setTimeout(connect, least + Math.random() * most + 100);
		};
		const barred = (why: Barred) => {
			events.onBarred(why);
			again(BARRED_MS);
		};
		link.onopen = () => {
			const { dev, token } = key();
			const hello = { t: "hello", proto: [1, 1], build, sv: 1, role: "board", dev, name: "wall board" };
			link.send(
				JSON.stringify({
					...hello,
					...(token !== "" && { token }),
					cursor: 0,
					chain: "",
					unsent: 0,
					clock_ms: Date.now(),
				}),
			);
		};
		link.onmessage = (e) => {
			if (mine !== generation) return;
			const frame = read(e.data);
			if (!frame) return;
			heard = Date.now();
			if (frame.revoked) return barred("revoked");
			if (frame.t === "bye" && (frame.why === "token" || frame.why === "revoked")) return barred(frame.why);
			if (typeof frame.now_ms === "number") {
				failures = 0;
				events.onHeard(frame.now_ms);
			}
			if (frame.t === "board") {
				const { jobs = [], tablets = [], aside = 0, copied = 0 } = frame;
				events.onBoard({ jobs, tablets, aside, copied });
			}
			if (frame.t === "bye") events.onBye(frame.text ?? frame.why ?? "");
		};
		link.onclose = () => again();
		link.onerror = () => again();
	};
	connect();
	return connect;
}

interface Frame extends Partial<Board> {
	t: string;
	now_ms?: number;
	text?: string;
	why?: string;
	revoked?: boolean;
}

function read(data: unknown): Frame | null {
	try {
		return JSON.parse(String(data)) as Frame;
	} catch {
		return null; // a cut frame; the next one says it all again
	}
}

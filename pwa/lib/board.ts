// The wall board's end of the socket: asks for the board, keeps the shop's clock,
// and comes back by itself. It stores nothing and holds only the latest frame.

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
	aside: number; // records set aside because their id was taken by other bytes
}

export interface BoardEvents {
	onBoard(board: Board): void;
	/** The shop was heard; now is its clock, ms since 1970. */
	onHeard(now: number): void;
	/** The shop ended the link and said why. */
	onBye(text: string): void;
}

const BEAT_MS = 5_000;
const SILENT_MS = 20_000;
const FIRST_WAIT_MS = 500;
const LONGEST_WAIT_MS = 15_000;

/** follow keeps the board up to date from now on. build is that of the page. */
export function follow(url: string, build: string, events: BoardEvents): void {
	const dev = `wall-${Math.random().toString(36).slice(2, 12)}`;
	let generation = 0; // what an older socket still says is not listened to
	let failures = 0;

	const connect = () => {
		const mine = ++generation;
		const socket = new WebSocket(url);
		let beats = 0;
		let heard = Date.now();
		const beat = setInterval(() => {
			if (Date.now() - heard > SILENT_MS) return again();
			if (socket.readyState === WebSocket.OPEN) {
				socket.send(JSON.stringify({ t: "hb", n: ++beats, now_ms: Date.now() }));
			}
		}, BEAT_MS);
		const again = () => {
			if (mine !== generation) return;
			generation++;
			clearInterval(beat);
			socket.close();
			const most = Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** failures++);
			setTimeout(connect, Math.random() * most + 100);
		};
		socket.onopen = () => {
			const hello = { t: "hello", proto: [1, 1], build, sv: 1, role: "board", dev, name: "wall board" };
			socket.send(JSON.stringify({ ...hello, cursor: 0, chain: "", unsent: 0, clock_ms: Date.now() }));
		};
		socket.onmessage = (e) => {
			if (mine !== generation) return;
			const frame = read(e.data);
			if (!frame) return;
			heard = Date.now();
			if (typeof frame.now_ms === "number") {
				failures = 0;
				events.onHeard(frame.now_ms);
			}
			if (frame.t === "board") {
				const { jobs = [], tablets = [], aside = 0 } = frame;
				events.onBoard({ jobs, tablets, aside });
			}
			if (frame.t === "bye") events.onBye(frame.text ?? frame.why ?? "");
		};
		socket.onclose = again;
		socket.onerror = again;
	};
	connect();
}

interface Frame extends Partial<Board> {
	t: string;
	now_ms?: number;
	text?: string;
	why?: string;
}

function read(data: unknown): Frame | null {
	try {
		return JSON.parse(String(data)) as Frame;
	} catch {
		return null; // a cut frame; the next one says it all again
	}
}

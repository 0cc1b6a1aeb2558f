// Picks what carries the frames to the shop: the websocket, or plain requests
// where two sockets in a row brought no frame. While requests carry, the
// websocket is tried beside them now and then, so that nothing stands still.

import type { Socket } from "./sync";

const AGAIN_MS = 600_000;
const TRY_MS = 8_000;
const TRIES = 2;

export interface Ways {
	socket(): Socket;
	poll(): Socket;
	after(ms: number, act: () => void): () => void; // returns what calls it off
	better(): void; // the websocket goes through again: open anew
}

export class Carrier {
	private failed = 0; // sockets in a row without a frame
	private isPolling = false;
	private next: (() => void) | null = null;
	private trial: Socket | null = null;

	constructor(private ways: Ways) {}

	/** open starts a link of the kind that works here. */
	open(): Socket {
		this.isPolling = this.failed >= TRIES;
		if (!this.isPolling) {
			this.next?.();
			return new Watched(this.ways.socket(), (spoke) => {
				this.failed = spoke ? 0 : this.failed + 1;
			});
		}
		this.later();
		return new Watched(this.ways.poll(), (spoke) => {
			if (!spoke) this.failed = TRIES - 1; // no way at all: the socket is as good
		});
	}

	/** shown: the page was shown; the tablet may be in another network now. */
	shown(): void {
		if (this.isPolling) this.try();
	}

	private later(): void {
		this.next?.();
		this.next = this.ways.after(AGAIN_MS, () => this.try());
	}

	private try(): void {
		this.later();
		if (this.trial) return;
		const socket = this.ways.socket();
		this.trial = socket;
		const end = (goes: boolean) => {
			if (this.trial !== socket) return;
			this.trial = null;
			off();
			socket.onopen = socket.onclose = socket.onerror = null;
			socket.close();
			if (!goes || !this.isPolling) return;
			this.failed = 0;
			this.ways.better();
		};
		const off = this.ways.after(TRY_MS, () => end(false));
		socket.onopen = () => end(true);
		socket.onclose = socket.onerror = () => end(false);
	}
}

/** Watched passes everything on, and tells once whether a frame ever came. */
class Watched implements Socket {
	onopen: (() => void) | null = null;
	onmessage: ((e: { data: unknown }) => void) | null = null;
	onclose: (() => void) | null = null;
	onerror: (() => void) | null = null;
	private isTold = false;

	constructor(
		private inner: Socket,
		private told: (spoke: boolean) => void,
	) {
		inner.onopen = () => this.onopen?.();
		inner.onmessage = (e) => {
			this.tell(true);
			this.onmessage?.(e);
		};
		inner.onclose = () => {
			this.tell(false);
			this.onclose?.();
		};
		inner.onerror = () => {
			this.tell(false);
			this.onerror?.();
		};
	}

	get pack(): string[] | undefined {
		return this.inner.pack;
	}

	send(text: string): void {
		this.inner.send(text);
	}

	close(): void {
		this.tell(false);
		this.inner.close();
	}

	private tell(spoke: boolean): void {
		if (!this.isTold) this.told(spoke);
		this.isTold = true;
	}
}

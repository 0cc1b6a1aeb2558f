// Large frames go packed over the websocket where both ends can: records repeat
// themselves, and a poor link in a yard is slow. The websocket's own compression
// breaks the sockets of some tablets; a packed frame is a binary message to them.

import { within } from "./request";
import type { Socket } from "./sync";

const WAY = "deflate-raw";
const FROM = 2_048; // characters; smaller frames stay text, so that the socket can be read in a log
const MOST = 4 << 20; // bytes that a frame may unpack to, far more than the shop sends
const LIMIT_MS = 5_000; // for one frame: a stream that stands still would hold up the sync for ever

/** What is used of a WebSocket that carries packed frames too. */
export interface BinarySocket extends Omit<Socket, "send" | "pack"> {
	binaryType: string;
	send(data: string | ArrayBuffer): void;
}

/** Packer turns texts into packed bytes and back. */
export interface Packer {
	pack(text: string): Promise<ArrayBuffer>;
	unpack(bytes: ArrayBuffer): Promise<string>;
}

/** browserPacker is this browser's own, null where it has none or where it does not give back what it was given. */
export async function browserPacker(): Promise<Packer | null> {
	const through = (data: BlobPart, by: GenericTransformStream, signal: AbortSignal) =>
		new Blob([data])
			.stream()
			.pipeThrough(by as ReadableWritablePair<Uint8Array, Uint8Array<ArrayBuffer>>, { signal });
	const packer: Packer = {
		pack: (text) =>
			within(LIMIT_MS, null, (signal) =>
				new Response(through(text, new CompressionStream(WAY), signal)).arrayBuffer(),
			),
		unpack: (bytes) =>
			within(LIMIT_MS, null, (signal) => textOf(through(bytes, new DecompressionStream(WAY), signal))),
	};
	try {
		const sample = "tube Ø 41,3 mm · ".repeat(300);
		return (await packer.unpack(await packer.pack(sample))) === sample ? packer : null;
	} catch {
		return null;
	}
}

// textOf reads a stream of UTF-8 to its end, or fails once it is longer than any frame.
async function textOf(stream: ReadableStream<Uint8Array>): Promise<string> {
	const decoder = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true });
	const reader = stream.getReader();
	let text = "";
	let bytes = 0;
	for (;;) {
		const { done, value } = await reader.read();
		if (done) return text + decoder.decode();
		bytes += value.byteLength;
		if (bytes > MOST) {
			reader.cancel().catch(() => {});
			throw new Error(`a frame unpacks to more than ${MOST} bytes`);
		}
		text += decoder.decode(value, { stream: true });
	}
}

/**
 * Packing passes frames on in their order both ways. It packs after a welcome
 * that agrees to it; spoiled is told when a frame could not be packed or
 * unpacked, and the socket has ended then.
 */
export class Packing implements Socket {
	readonly pack = [WAY];
	onopen: (() => void) | null = null;
	onmessage: ((e: { data: unknown }) => void) | null = null;
	onclose: (() => void) | null = null;
	onerror: (() => void) | null = null;
	private isAgreed = false;
	private isFirst = true;
	private up = new Line();
	private down = new Line();

	constructor(
		private inner: BinarySocket,
		private packer: Packer,
		private spoiled: () => void,
	) {
		inner.binaryType = "arraybuffer";
		inner.onopen = () => this.onopen?.();
		inner.onclose = () => this.onclose?.();
		inner.onerror = () => this.onerror?.();
		inner.onmessage = ({ data }) =>
			this.down.add<string>(
				data instanceof ArrayBuffer ? this.told(packer.unpack(data)) : String(data),
				(text) => this.heard(text),
				() => this.fail(),
			);
	}

	send(text: string): void {
		const isLarge = this.isAgreed && text.length > FROM;
		this.up.add<string | ArrayBuffer>(
			isLarge ? this.told(this.packer.pack(text)) : text,
			(frame) => this.inner.send(typeof frame !== "string" && frame.byteLength >= text.length ? text : frame),
			() => this.fail(),
		);
	}

	close(): void {
		this.up.end();
		this.down.end();
		this.inner.close();
	}

	private told<T>(work: Promise<T>): Promise<T> {
		work.catch(() => this.spoiled()); // also keeps a failure that nobody waits for any more from being one of the page
		return work;
	}

	private heard(text: string): void {
		if (this.isFirst) this.isAgreed = agrees(text);
		this.isFirst = false;
		this.onmessage?.({ data: text });
	}

	private fail(): void {
		this.close();
		this.onclose?.();
	}
}

function agrees(welcome: string): boolean {
	try {
		return (JSON.parse(welcome) as { pack?: unknown }).pack === WAY;
	} catch {
		return false;
	}
}

// Line hands things over in the order they were added, at once where nothing waits.
class Line {
	private waiting = 0;
	private last: Promise<void> = Promise.resolve();
	private isOver = false;

	add<T>(thing: T | Promise<T>, hand: (thing: T) => void, fail: () => void): void {
		if (this.isOver) return;
		if (this.waiting === 0 && !(thing instanceof Promise)) {
			hand(thing);
			return;
		}
		this.waiting++;
		this.last = this.last.then(async () => {
			try {
				const ready = await thing;
				if (!this.isOver) hand(ready);
			} catch {
				if (!this.isOver) fail();
			}
			this.waiting--;
		});
	}

	end(): void {
		this.isOver = true;
	}
}

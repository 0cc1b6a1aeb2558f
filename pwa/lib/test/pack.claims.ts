// Claims about frames that go packed: their order, and what happens where the
// two ends do not agree.

import { type BinarySocket, type Packer, Packing } from "../pack";
import { claim, holds, same, wait } from "./claim";

/** Wire is a websocket of which the test holds the far end. */
class Wire implements BinarySocket {
	binaryType = "blob";
	onopen: (() => void) | null = null;
	onmessage: ((e: { data: unknown }) => void) | null = null;
	onclose: (() => void) | null = null;
	onerror: (() => void) | null = null;
	sent: (string | ArrayBuffer)[] = [];
	isClosed = false;

	send(data: string | ArrayBuffer): void {
		if (this.isClosed) throw new Error("closed");
		this.sent.push(data);
	}

	close(): void {
		this.isClosed = true;
	}
}

const bytes = (text: string) => new TextEncoder().encode(text).buffer as ArrayBuffer;

/** slow takes longer the larger a text is, so that a small one would overtake. */
const slow: Packer = {
	pack: async (text) => {
		await wait(text.length / 500);
		return bytes(text);
	},
	unpack: async (packed) => {
		await wait(packed.byteLength / 500);
		const text = new TextDecoder().decode(packed);
		if (text === "spoiled") throw new Error("it does not unpack");
		return text;
	},
};

function open(welcome: object) {
	const wire = new Wire();
	const heard: unknown[] = [];
	let spoiled = 0;
	let closed = 0;
	const socket = new Packing(wire, slow, () => spoiled++);
	socket.onmessage = (e) => heard.push(e.data);
	socket.onclose = () => closed++;
	wire.onmessage?.({ data: JSON.stringify({ t: "welcome", ...welcome }) });
	return { wire, socket, heard, spoiled: () => spoiled, closed: () => closed };
}

const large = (n: number) => String(n).repeat(5000);

claim("packing: large frames go up packed, small ones as text, all in their order", async () => {
	const { wire, socket } = open({ pack: "deflate-raw" });
	const frames = [large(1), "a", large(2), "b", large(3), "c"];
	for (const f of frames) socket.send(f);
	await wait(60);
	same(
		wire.sent.map((s) => typeof s === "string"),
		[false, true, false, true, false, true],
	);
	same(
		wire.sent.map((s) => (typeof s === "string" ? s : new TextDecoder().decode(s))),
		frames,
	);
	same(wire.binaryType, "arraybuffer");
});

claim("packing: frames that come packed are heard in their order", async () => {
	const { wire, heard } = open({ pack: "deflate-raw" });
	heard.length = 0;
	for (const data of [bytes(large(1)), "a", bytes("b"), "c"]) wire.onmessage?.({ data });
	await wait(40);
	same(heard, [large(1), "a", "b", "c"]);
});

claim("packing: a shop that does not pack gets text only", async () => {
	for (const welcome of [{}, { pack: "brotli" }, { pack: ["deflate-raw"] }]) {
		const { wire, socket } = open(welcome);
		socket.send(large(1));
		same(wire.sent, [large(1)], JSON.stringify(welcome));
	}
});

claim("packing: a frame that does not unpack ends the socket and packing", async () => {
	const { wire, heard, spoiled, closed } = open({ pack: "deflate-raw" });
	heard.length = 0;
	for (const data of ["a", bytes("spoiled"), "b"]) wire.onmessage?.({ data });
	await wait(20);
	same(heard, ["a"]);
	same([spoiled(), closed(), wire.isClosed], [1, 1, true]);
});

claim("packing: a closed socket passes on nothing that was still being packed", async () => {
	const { wire, socket, heard } = open({ pack: "deflate-raw" });
	heard.length = 0;
	socket.send(large(1));
	wire.onmessage?.({ data: bytes(large(2)) });
	socket.close();
	await wait(40);
	same([wire.sent.length, heard.length], [0, 0]);
});

claim("packing: a socket that ended unseen is said to have ended", async () => {
	const { wire, socket, closed } = open({ pack: "deflate-raw" });
	socket.send(large(1));
	wire.isClosed = true;
	await wait(40);
	same(closed(), 1);
	holds(wire.sent.length === 0, "something was sent");
});

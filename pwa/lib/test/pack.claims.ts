// Claims about frames that go packed: their order, and what happens where the
// two ends do not agree.

import exchange from "../../../testdata/wire/packed.json";
import { type BinarySocket, browserPacker, type Packer, Packing } from "../pack";
import { claim, holds, lengthyClaim, refused, same, wait } from "./claim";

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
		if (text.startsWith("unpackable")) throw new Error("it does not pack");
		if (text.startsWith("noise")) return bytes(`${text} and more`);
		return bytes(text.slice(1));
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
		wire.sent.map((s) => (typeof s === "string" ? s : new TextDecoder().decode(s)).charAt(0)).join(""),
		"1a2b3c",
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

claim(
	"packing: a frame that does not pack ends the socket and packing, one that grows goes as text",
	async () => {
		const { wire, socket, spoiled, closed } = open({ pack: "deflate-raw" });
		const noise = `noise${large(1)}`;
		for (const f of [noise, `unpackable${large(2)}`, "b"]) socket.send(f);
		await wait(60);
		same(wire.sent, [noise]);
		same([spoiled(), closed(), wire.isClosed], [1, 1, true]);
	},
);

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

const unbase64 = (text: string) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;

// In node and in three browser engines: what the shop packs is read, and what is
// packed here is read back.
lengthyClaim("packing: the browser's own streams read what the shop packs", async () => {
	const packer = await browserPacker();
	if (!packer) throw new Error("this engine has no deflate-raw");
	let read = 0;
	for (const { frame, packed } of exchange as { frame: object; packed?: string }[]) {
		if (!packed) continue;
		const text = await packer.unpack(unbase64(packed));
		same(JSON.parse(text), frame);
		const again = await packer.pack(text);
		holds(again.byteLength < text.length / 3, `${text.length} characters went as ${again.byteLength} bytes`);
		same(await packer.unpack(again), text);
		read++;
	}
	same(read, 2);
	const whole = new Uint8Array(await packer.pack("\ufeffØ 41,3 mm \u{1f527} ".repeat(20_000)));
	same(await packer.unpack(whole.buffer), "\ufeffØ 41,3 mm \u{1f527} ".repeat(20_000));
	for (const bad of [whole.slice(0, -3), new Uint8Array([7, 7, 7]), new Uint8Array()]) {
		await refused(packer.unpack(bad.buffer));
	}
	await refused(packer.unpack(await packer.pack("\u0000".repeat(32 << 20)))); // what so little promises
	const latin = new Blob([new Uint8Array([0xd8, 0x20])])
		.stream()
		.pipeThrough(new CompressionStream("deflate-raw"));
	await refused(packer.unpack(await new Response(latin).arrayBuffer()));
});

claim("packing: an engine without working streams packs nothing", async () => {
	const { CompressionStream: real } = globalThis;
	const put = (way: unknown) => Object.assign(globalThis, { CompressionStream: way });
	try {
		put(undefined);
		same(await browserPacker(), null, "none there");
		put(TransformStream); // gives back what it was given
		same(await browserPacker(), null, "no packing");
		put(
			class {
				constructor() {
					throw new TypeError("unsupported format");
				}
			},
		);
		same(await browserPacker(), null, "another format only");
	} finally {
		put(real);
	}
});

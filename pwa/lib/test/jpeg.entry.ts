// Reads pictures, given as base64 in JSON on standard input, and writes what the
// tablet makes of each, so that the reader in Go can be compared with it.

import { head, isWhole, strip } from "../jpeg";

declare const process: {
	stdin: AsyncIterable<Uint8Array>;
	stdout: { write(text: string): void };
};

const decoder = new TextDecoder();
let text = "";
for await (const part of process.stdin) text += decoder.decode(part, { stream: true });

const bytesOf = (base64: string) => Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
const base64Of = (b: Uint8Array) => {
	let s = "";
	for (let i = 0; i < b.length; i += 8192) s += String.fromCharCode(...b.subarray(i, i + 8192));
	return btoa(s);
};

const answers = (JSON.parse(text) as string[]).map((picture) => {
	const b = bytesOf(picture);
	try {
		const is = head(b);
		const bare = strip(b);
		return { head: is, bare: base64Of(bare), whole: isWhole(bare) };
	} catch (err) {
		return { why: (err as { why?: string }).why ?? String(err) };
	}
});
process.stdout.write(JSON.stringify(answers));

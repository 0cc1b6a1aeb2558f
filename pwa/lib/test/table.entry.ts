// Sorts the records of many slots, read as JSON from standard input, and writes
// what lies on the table, so that the fold in Go can be compared with it.

import { tableOf } from "../table";
import type { Envelope } from "../types";

declare const process: {
	stdin: AsyncIterable<Uint8Array>;
	stdout: { write(text: string): void };
};

const decoder = new TextDecoder();
let text = "";
for await (const part of process.stdin) text += decoder.decode(part, { stream: true });

const ids = (list: Envelope[]) => list.map((r) => r.id);
const cases = JSON.parse(text) as Envelope[][];
const tables = cases.map((records) => {
	const t = tableOf(records);
	return { heads: ids(t.heads), aside: ids(t.aside), choices: ids(t.choices).sort() };
});
process.stdout.write(JSON.stringify(tables));

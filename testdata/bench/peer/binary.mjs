// The binary peer: yjs, one shared list that each record is appended to in a
// change of its own, over y-websocket and its server, which keeps the document
// in memory.

import { fileURLToPath } from "node:url";
import WebSocket from "ws";
import { WebsocketProvider } from "y-websocket";
import * as Y from "yjs";

const ROOM = "bench";
const program = fileURLToPath(new URL("../node_modules/@y/websocket-server/src/server.js", import.meta.url));

export function server({ port }) {
	return { command: process.execPath, args: [program], env: { HOST: "127.0.0.1", PORT: String(port) } };
}

/** kept is null: this server has no disk. */
export const kept = () => null;

export function connect({ port, got }) {
	const doc = new Y.Doc();
	const list = doc.getArray("records");
	list.observe((event) => {
		for (const d of event.changes.delta) for (const r of d.insert ?? []) got(r.id);
	});
	return {
		async queue(records) {
			for (const r of records) list.push([r]);
		},
		open() {
			const settings = { WebSocketPolyfill: WebSocket, disableBc: true };
			const provider = new WebsocketProvider(`ws://127.0.0.1:${port}`, ROOM, doc, settings);
			return new Promise((resolve) => provider.once("sync", resolve));
		},
		write(record) {
			list.push([record]);
		},
		// The protocol has no acknowledgement: what the reader has, the server had before.
		async sent() {},
		async held() {
			return list.toArray();
		},
	};
}

export { ROOM };

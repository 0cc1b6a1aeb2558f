// The document peer: pouchdb, one document a record, replicated to and from a
// server of the same make with its leveldb.

import { fileURLToPath } from "node:url";
import PouchDB from "pouchdb";
import memory from "pouchdb-adapter-memory";

PouchDB.plugin(memory);

const NAME = "bench";
const program = fileURLToPath(new URL("./document-server.mjs", import.meta.url));

export function server({ port, dir }) {
	return { command: process.execPath, args: [program, String(port), dir] };
}

export async function kept(dir) {
	return (await new PouchDB(`${dir}/${NAME}`).info()).doc_count;
}

// The id is the document's own; the rest is the record as it is.
const documentOf = ({ id, ...rest }) => ({ _id: id, ...rest });
const recordOf = ({ _id: id, _rev, ...rest }) => ({ id, ...rest });

/** connectWith makes clients; batch is how many documents they send and ask for at a time. */
export const connectWith =
	({ batch, isPacked }) =>
	({ port, role, got }) => {
		const db = new PouchDB(`${role}-${process.pid}`, { adapter: "memory" });
		const remote = new PouchDB(`http://127.0.0.1:${port}/${NAME}`, isPacked ? {} : { fetch: plain });
		const settings = { live: true, batch_size: batch };
		let written = 0;
		let heard = () => {};
		return {
			async queue(records) {
				await db.bulkDocs(records.map(documentOf));
			},
			open() {
				const run =
					role === "writer" ? db.replicate.to(remote, settings) : db.replicate.from(remote, settings);
				return new Promise((resolve, reject) => {
					run.on("error", reject);
					run.on("denied", reject);
					run.on("paused", (err) => (err ? reject(err) : resolve()));
					run.on("change", (c) => {
						written = c.docs_written;
						for (const d of c.docs) got(d._id);
						heard();
					});
				});
			},
			write(record) {
				db.put(documentOf(record));
			},
			sent(count) {
				return new Promise((resolve) => {
					heard = () => {
						if (written >= count) resolve();
					};
					heard();
				});
			},
			async held() {
				const all = await db.allDocs({ include_docs: true });
				return all.rows.map((row) => recordOf(row.doc));
			},
		};
	};

// plain asks for answers as they are; otherwise this server packs them.
function plain(url, options) {
	options.headers.set("Accept-Encoding", "identity");
	return PouchDB.fetch(url, options);
}

export const connect = connectWith({ batch: 100, isPacked: true }); // what it does when it is told nothing

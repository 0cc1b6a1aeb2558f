// The document peer's server: PORT FOLDER. Only what replication needs is switched on.

import http from "node:http";
import express from "express-pouchdb";
import PouchDB from "pouchdb";

const [port, dir] = process.argv.slice(2);
process.chdir(dir); // it writes a log where it is started
const app = express(PouchDB.defaults({ prefix: `${dir}/` }), {
	mode: "minimumForPouchDB",
	inMemoryConfig: true,
});
http.createServer(app).listen(Number(port), "127.0.0.1");

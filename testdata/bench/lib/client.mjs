// One client in a process of its own: the writer, who has the changes, or the
// reader, who waits for them. Times are microseconds of the machine's monotonic
// clock, which all processes share.

import { readings } from "./readings.mjs";

const setup = JSON.parse(process.argv[2]); // {peer, role, port, server, mode, count, every, seed}
const { connect } = await import(`../peer/${setup.peer}.mjs`);
const records = readings(setup.count, setup.seed);
const micros = () => Number(process.hrtime.bigint() / 1_000n);
const fail = (err) => {
	console.error(err);
	process.exit(1);
};
let over = false; // the server is killed as soon as all is across: what then fails tells nothing
process.on("unhandledRejection", (err) => {
	if (!over) fail(err);
});

const place = new Map(records.map((r, i) => [r.id, i]));
const times = new Array(setup.count).fill(0);
let missing = setup.count;
let filled;
const full = new Promise((resolve) => {
	filled = resolve;
});

// got is called by the peer for each record that came from the server.
function got(id) {
	const i = place.get(id);
	if (i === undefined || times[i] !== 0) return;
	times[i] = micros();
	if (--missing === 0) filled();
}

const client = connect({ ...setup, got: setup.role === "reader" ? got : () => {} });

const acts = {
	async ready() {
		if (setup.role === "writer" && setup.mode === "queue") await client.queue(records);
		else await client.open();
		return {};
	},
	async go() {
		const start = micros();
		if (setup.role === "reader") {
			await full;
			over = true;
			return { times, end: Math.max(...times) };
		}
		if (setup.mode === "queue") client.open();
		else await trickle(start);
		await client.sent(setup.count);
		over = true;
		return { times, start, end: micros() };
	},
	// check compares what is held with what was written, byte for byte.
	async check() {
		const held = new Map((await client.held()).map((r) => [r.id, JSON.stringify(r)]));
		const wrong = records.filter((r) => held.get(r.id) !== JSON.stringify(r)).length;
		return { sound: wrong === 0 && held.size === records.length };
	},
};

process.on("message", (what) => {
	acts[what]().then((answer) => process.send({ to: what, ...answer }), fail);
});

// trickle writes one change every setup.every ms; a late timer is caught up with, so that the pace holds.
async function trickle(start) {
	for (let i = 0; i < records.length; i++) {
		const due = start + i * setup.every * 1_000;
		const wait = (due - micros()) / 1_000;
		if (wait > 0) await new Promise((resolve) => setTimeout(resolve, wait));
		times[i] = micros();
		client.write(records[i]);
	}
}

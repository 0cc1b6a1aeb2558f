// The whole bench: node run.mjs [-runs 5] [-count 10000] [-live 1000] [-only ours,binary] [-folder DIR]

import { statfsSync, writeFileSync } from "node:fs";
import os from "node:os";
import { parseArgs } from "node:util";
import { hasStrace, watch } from "./lib/fsync.mjs";
import { readings } from "./lib/readings.mjs";
import { fixed, medians, ratio, table } from "./lib/sum.mjs";
import { trial } from "./lib/trial.mjs";
import { build } from "./peer/ours.mjs";

const PEERS = {
	ours: "ours",
	"ours-plain": "ours, not packed",
	binary: "binary, memory",
	"binary-disk": "binary, leveldb",
	document: "document, leveldb",
	"document-large": "document, 1,000 a batch",
	"document-plain": "document, no gzip",
};
const TMPFS = 0x01021994;
const QUEUE_HEAD = [
	...["", "s", "from to", "ratio", "writer up kB", "down", "reader up", "down"],
	...["bytes a change", "ratio", "server CPU s", "on disk when killed"],
];
const LIVE_HEAD = [
	...["", "p50", "ratio", "p95", "ratio", "bytes a change", "ratio", "server CPU s", "on disk when killed"],
];

const { values } = parseArgs({
	args: process.argv.slice(2).map((a) => a.replace(/^-(?=\w{2})/, "--")),
	options: {
		runs: { type: "string", default: "5" },
		count: { type: "string", default: "10000" },
		live: { type: "string", default: "1000" },
		only: { type: "string", default: Object.keys(PEERS).join(",") },
		folder: { type: "string", default: os.tmpdir() },
	},
});
const runs = Number(values.runs);
const peers = values.only.split(",");
const { folder } = values;
if (statfsSync(folder).type === TMPFS)
	console.warn(`${folder} is memory, so flushing costs nothing: give -folder`);

const modes = {
	queue: { mode: "queue", count: Number(values.count), every: 0 },
	fast: { mode: "trickle", count: Number(values.live), every: 10 },
	slow: { mode: "trickle", count: Math.ceil(Number(values.live) / 4), every: 40 },
};

build();
const results = {
	machine: machine(),
	runs,
	bytesOfRecord: size(),
	load: [os.loadavg()[0]],
	flush: {},
	modes: {},
};
for (const peer of peers) {
	if (hasStrace()) results.flush[peer] = await watch(peer, folder);
}
for (const [name, plan] of Object.entries(modes)) results.modes[name] = await measure(name, plan);
results.load.push(os.loadavg()[0]);
show();
writeFileSync(new URL("./results.json", import.meta.url), `${JSON.stringify(results, null, "\t")}\n`);

// Each run goes round all peers, so that a slow minute of the machine meets all of them.
async function measure(name, plan) {
	const all = Object.fromEntries(peers.map((p) => [p, []]));
	for (let run = 1; run <= runs; run++) {
		for (const peer of peers) {
			const one = await trial(peer, { ...plan, seed: run, folder });
			if (!one.sound) throw new Error(`${peer}: a client does not hold what was written`);
			all[peer].push(one);
			const wire = `${one.bytesPerChange.toFixed(0)} bytes a change`;
			console.error(`${name} ${run}/${runs} ${peer}: ${one.seconds.toFixed(2)} s, ${wire}`);
		}
	}
	return Object.fromEntries(peers.map((p) => [p, { ...medians(all[p]), each: all[p] }]));
}

function show() {
	const load = results.load.map((l) => l.toFixed(1)).join(" to ");
	console.log(`${results.machine}; load ${load}`);
	console.log(
		`records of ${results.bytesOfRecord.toFixed(0)} bytes; medians of ${runs} runs; a ratio is ours to the peer's`,
	);
	console.log(`\n${modes.queue.count} changes queued, then sent\n`);
	console.log(table([QUEUE_HEAD, ...peers.map((p) => queueRow(p, results.modes.queue))]));
	for (const name of ["fast", "slow"]) {
		const { count, every } = modes[name];
		console.log(`\n${count} changes, one every ${every} ms; ms from writing until the reader has it\n`);
		console.log(table([LIVE_HEAD, ...peers.map((p) => liveRow(p, results.modes[name]))]));
	}
	console.log("\nflushed to disk before the first word about the change\n");
	console.log(table([["", "changes", "flushes"], ...peers.map(flushRow)]));
}

function queueRow(peer, mode) {
	const [m, ours] = [mode[peer], mode.ours];
	return [
		PEERS[peer],
		fixed(m.seconds, 2),
		`${fixed(m.least, 2)} ${fixed(m.most, 2)}`,
		ratio(ours?.seconds, m.seconds),
		...[m.writer.up, m.writer.down, m.reader.up, m.reader.down].map((b) => fixed(b / 1e3, 0)),
		fixed(m.bytesPerChange, 0),
		ratio(ours?.bytesPerChange, m.bytesPerChange),
		fixed(m.serverMS / 1e3, 2),
		fixed(m.onDisk, 0),
	];
}

function liveRow(peer, mode) {
	const [m, ours] = [mode[peer], mode.ours];
	return [
		PEERS[peer],
		fixed(m.p50, 1),
		ratio(ours?.p50, m.p50),
		fixed(m.p95, 1),
		ratio(ours?.p95, m.p95),
		fixed(m.bytesPerChange, 0),
		ratio(ours?.bytesPerChange, m.bytesPerChange),
		fixed(m.serverMS / 1e3, 2),
		fixed(m.onDisk, 0),
	];
}

function flushRow(peer) {
	const f = results.flush[peer];
	return [PEERS[peer], f ? `${f.before} of ${f.changes}` : "no strace", f ? `${f.flushes}` : "–"];
}

function size() {
	const some = readings(1_000, 1);
	return some.reduce((sum, r) => sum + JSON.stringify(r).length, 0) / some.length;
}

function machine() {
	const cpus = os.cpus();
	return `${cpus[0].model}, ${cpus.length} cores, ${os.type()} ${os.release()}, Node ${process.version}`;
}

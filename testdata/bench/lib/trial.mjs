// One trial: a server with an empty folder, a writer and a reader in processes
// of their own, each behind a counting proxy. At the end the server is killed
// and what it left on disk is counted.

import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { cpuMS, freePort, kill, startClient, startServer } from "./child.mjs";
import { proxy } from "./proxy.mjs";
import { percentile } from "./sum.mjs";

/** trial runs peer once; plan is {mode: "queue"|"trickle", count, every, seed, folder}. */
export async function trial(peer, plan) {
	const { server, kept } = await import(`../peer/${peer}.mjs`);
	const dir = mkdtempSync(path.join(plan.folder ?? os.tmpdir(), "bench-"));
	const running = [];
	try {
		const port = await freePort();
		const shop = await startServer(server({ port, dir }), port);
		running.push(shop);
		const roles = ["writer", "reader"];
		const wires = [await proxy(port), await proxy(port)];
		const clients = roles.map((role, i) =>
			startClient({ peer, role, server: port, port: wires[i].port, ...plan }),
		);
		running.push(...clients.map((c) => c.child));
		const all = (what) => Promise.all(clients.map((c) => c.ask(what)));
		await all("ready");
		for (const w of wires) w.reset();
		const cpu = cpuMS(shop.pid);
		const [wrote, read] = await all("go");
		const cpuUsed = cpuMS(shop.pid) - cpu;
		await kill(shop);
		const [writer, reader] = wires.map((w) => ({ ...w.bytes }));
		const onDisk = await kept(dir);
		const sound = (await all("check")).every((c) => c.sound);
		for (const w of wires) w.close();
		return {
			seconds: (Math.max(wrote.end, read.end) - wrote.start) / 1e6,
			...(plan.mode === "trickle" && latency(wrote.times, read.times)),
			writer,
			reader,
			bytesPerChange: (writer.up + writer.down + reader.up + reader.down) / plan.count,
			serverMS: cpuUsed,
			onDisk,
			sound,
		};
	} finally {
		for (const child of running) await kill(child);
		rmSync(dir, { recursive: true, force: true });
	}
}

function latency(wrote, read) {
	const ms = wrote.map((at, i) => (read[i] - at) / 1e3);
	return { p50: percentile(ms, 0.5), p95: percentile(ms, 0.95), most: Math.max(...ms) };
}

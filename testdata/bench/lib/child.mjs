// Starts and ends the processes of a trial. Each is ended by its own handle.

import { fork, spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import net from "node:net";
import { fileURLToPath } from "node:url";

const START_MS = 20_000;
const ANSWER_MS = 300_000; // the longest trial known takes a tenth of it

/** freePort returns a port that nobody listens on just now. */
export async function freePort() {
	const server = net.createServer();
	await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
	const { port } = server.address();
	await new Promise((resolve) => server.close(resolve));
	return port;
}

/** startServer starts a command and returns its process once the port answers. */
export async function startServer({ command, args, env }, port) {
	const child = spawn(command, args, {
		env: { ...process.env, ...env },
		stdio: ["ignore", "ignore", "pipe"],
	});
	let said = "";
	child.stderr.on("data", (b) => {
		said = (said + b).slice(-4_000);
	});
	const limit = Date.now() + START_MS;
	while (!(await answers(port))) {
		if (child.exitCode !== null || Date.now() > limit) {
			child.kill("SIGKILL");
			throw new Error(`${command} ${args.join(" ")} does not answer on port ${port}: ${said}`);
		}
		await new Promise((resolve) => setTimeout(resolve, 50));
	}
	return child;
}

function answers(port) {
	return new Promise((resolve) => {
		const socket = net.connect(port, "127.0.0.1");
		socket.on("connect", () => resolve(true));
		socket.on("error", () => resolve(false));
		socket.on("connect", () => socket.destroy());
	});
}

/** kill ends a process without a word, as a power cut would, and returns when it is gone. */
export async function kill(child) {
	if (child.exitCode !== null || child.signalCode !== null) return;
	const gone = new Promise((resolve) => child.once("exit", resolve));
	child.kill("SIGKILL");
	await gone;
}

/** startClient starts one client process; ask sends it a message and returns the answer to it. */
export function startClient(setup) {
	const path = fileURLToPath(new URL("./client.mjs", import.meta.url));
	const child = fork(path, [JSON.stringify(setup)], { stdio: ["ignore", "ignore", "inherit", "ipc"] });
	return {
		child,
		ask(what) {
			return new Promise((resolve, reject) => {
				const limit = setTimeout(() => finish(new Error("no answer")), ANSWER_MS);
				const ended = (code) => finish(new Error(`ended with ${code}`));
				const finish = (err, answer) => {
					clearTimeout(limit);
					child.off("exit", ended);
					child.off("message", heard);
					if (err) reject(new Error(`${setup.peer}, ${setup.role}, asked to ${what}: ${err.message}`));
					else resolve(answer);
				};
				const heard = (m) => {
					if (m.to === what) finish(null, m);
				};
				child.on("exit", ended);
				child.on("message", heard);
				child.send(what);
			});
		},
	};
}

/** cpuMS returns the processor time that a process used so far, where the system tells; 100 ticks a second on Linux. */
export function cpuMS(pid) {
	try {
		const fields = readFileSync(`/proc/${pid}/stat`, "utf8")
			.replace(/^.*\) /, "")
			.split(" ");
		return (Number(fields[11]) + Number(fields[12])) * 10;
	} catch {
		return null;
	}
}

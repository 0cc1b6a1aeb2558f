// The worker in which a calculation runs, a classic script: loads the wasm that it is
// told of, then answers one question after the other. It says first which build it is,
// and on the way of a long answer how far it is.

import { wasmExecURL } from "./built";
import type { Answer, Question } from "./calc";

const PROGRESS_MS = 100; // between two words of how far it is

/** What the wasm puts into the worker when it runs. */
interface Scope {
	Go: new () => { importObject: WebAssembly.Imports; run(instance: WebAssembly.Instance): Promise<void> };
	tubewrightCalc?: (question: string, progress: (done: number) => void) => string;
	tubewrightBuild?: string;
	importScripts(url: string): void;
	postMessage(a: Answer): void;
	onmessage: ((e: { data: Question }) => void) | null;
}

const scope = globalThis as unknown as Scope;

/** The file is not on this tablet, and the shop machine did not give it. */
class Missing extends Error {}

async function load(wasm: string): Promise<void> {
	try {
		scope.importScripts(wasmExecURL);
	} catch (err) {
		throw new Missing(`${wasmExecURL}: ${sentence(err)}`);
	}
	const go = new scope.Go();
	const instance = await instantiate(wasm, go.importObject);
	void go.run(instance).then(
		() => scope.postMessage({ failed: "the calculation ended by itself" }),
		(err) => scope.postMessage({ failed: `the calculation ended: ${sentence(err)}` }),
	);
	if (!scope.tubewrightCalc) throw new Error("it came without its function");
	scope.postMessage({ build: scope.tubewrightBuild ?? "" });
}

async function instantiate(wasm: string, imports: WebAssembly.Imports): Promise<WebAssembly.Instance> {
	const answer = await fetch(wasm).catch((err) => {
		throw new Missing(`${wasm}: ${sentence(err)}`);
	});
	if (!answer.ok) throw new Missing(`${wasm}: ${answer.status}`);
	const copy = answer.clone();
	try {
		return (await WebAssembly.instantiateStreaming(answer, imports)).instance;
	} catch {
		// Served under another media type, or a browser without streaming.
		return (await WebAssembly.instantiate(await copy.arrayBuffer(), imports)).instance;
	}
}

const sentence = (err: unknown) => (err instanceof Error ? err.message : String(err));

function answer(n: number, text: string): void {
	let said = performance.now();
	const progress = (done: number) => {
		const now = performance.now();
		if (now - said < PROGRESS_MS) return;
		said = now;
		scope.postMessage({ n, done });
	};
	try {
		if (!scope.tubewrightCalc) throw new Error("it is not running");
		scope.postMessage({ n, text: scope.tubewrightCalc(text, progress) });
	} catch (err) {
		scope.postMessage({ failed: `the calculation stopped: ${sentence(err)}` });
	}
}

scope.onmessage = ({ data }) => {
	if ("wasm" in data)
		load(data.wasm).catch((err) =>
			scope.postMessage({
				failed: `the calculation cannot start: ${sentence(err)}`,
				missing: err instanceof Missing,
			}),
		);
	else answer(data.n, data.text);
};

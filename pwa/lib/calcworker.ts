// The calculation's worker, a classic script: loads the wasm, then answers one
// question after the other. It says first which build it is.

import { wasmExecURL, wasmURL } from "./built";
import type { Answer, Question } from "./calc";

/** What the wasm puts into the worker when it runs. */
interface Scope {
	Go: new () => { importObject: WebAssembly.Imports; run(instance: WebAssembly.Instance): Promise<void> };
	tubewrightCalc?: (question: string) => string;
	tubewrightBuild?: string;
	importScripts(url: string): void;
	postMessage(a: Answer): void;
	onmessage: ((e: { data: Question }) => void) | null;
}

const scope = globalThis as unknown as Scope;

async function load(): Promise<void> {
	scope.importScripts(wasmExecURL);
	const go = new scope.Go();
	const instance = await instantiate(go.importObject);
	void go.run(instance).then(
		() => scope.postMessage({ failed: "the calculation ended by itself" }),
		(err) => scope.postMessage({ failed: `the calculation ended: ${sentence(err)}` }),
	);
	if (!scope.tubewrightCalc) throw new Error("it came without its function");
	scope.postMessage({ build: scope.tubewrightBuild ?? "" });
}

async function instantiate(imports: WebAssembly.Imports): Promise<WebAssembly.Instance> {
	const answer = await fetch(wasmURL);
	if (!answer.ok) throw new Error(`${wasmURL}: ${answer.status}`);
	const copy = answer.clone();
	try {
		return (await WebAssembly.instantiateStreaming(answer, imports)).instance;
	} catch {
		// Served under another media type, or a browser without streaming.
		return (await WebAssembly.instantiate(await copy.arrayBuffer(), imports)).instance;
	}
}

const sentence = (err: unknown) => (err instanceof Error ? err.message : String(err));

scope.onmessage = ({ data: { n, text } }) => {
	try {
		if (!scope.tubewrightCalc) throw new Error("it is not running");
		scope.postMessage({ n, text: scope.tubewrightCalc(text) });
	} catch (err) {
		scope.postMessage({ failed: `the calculation stopped: ${sentence(err)}` });
	}
};

load().catch((err) => scope.postMessage({ failed: `the calculation cannot start: ${sentence(err)}` }));

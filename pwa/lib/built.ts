// Names of the other built files and the build the page belongs to. cmd/build puts
// the names in; where a module runs unbuilt, in a test, they are empty.

declare const BUILT_CALCWORKER: string;
declare const BUILT_WASM_EXEC: string;
declare const BUILT_WASM: string;
declare const BUILT_LONG_WASM: string;

/** Path of the worker in which calculations run, a classic script. */
export const calcworkerURL = typeof BUILT_CALCWORKER === "string" ? BUILT_CALCWORKER : "";
/** Path of the loader that belongs to the compiler which made them. */
export const wasmExecURL = typeof BUILT_WASM_EXEC === "string" ? BUILT_WASM_EXEC : "";
/** Path of the calculation itself. */
export const wasmURL = typeof BUILT_WASM === "string" ? BUILT_WASM : "";
/** Path of the calculations that take long, which come later than it. */
export const longWasmURL = typeof BUILT_LONG_WASM === "string" ? BUILT_LONG_WASM : "";

/** pageBuild returns the build that the open page belongs to, "" when it names none. */
export function pageBuild(): string {
	return document.querySelector<HTMLMetaElement>('meta[name="build"]')?.content ?? "";
}

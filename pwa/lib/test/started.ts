import * as state from "../state";
import type { Memory } from "./memory";

/** started is the app's state over a store, without calculation, address bar or bell. */
export const started = (store: Memory) =>
	state.start({
		store,
		ask: () => Promise.reject(new Error("no wasm")),
		now: Date.now,
		hash: () => "",
		setHash: () => {},
		grown: () => {},
		tell: () => {},
		noted: () => {},
		struck: async () => {},
		build: "b",
	});

// The self-test's probes in a browser.

import { persist } from "./room";
import type { Probes } from "./selftest";

/** browserProbes tries out this page's browser; write puts something small on the disk the way a reading is written. */
export function browserProbes(write: () => Promise<void>): Probes {
	return {
		host: location.hostname,
		isSecure: () => isSecureContext,
		worker,
		socket,
		strict: async () => {
			await write();
			return "durability" in IDBTransaction.prototype;
		},
		persisted,
		clock,
	};
}

// worker resolves when the whole app is stored. A worker of an earlier day would
// hide that the certificate is not trusted today, so that it is asked for again.
async function worker(): Promise<void> {
	const workers = navigator.serviceWorker as ServiceWorkerContainer | undefined;
	if (!workers) throw new Error("this browser has no service workers here");
	const registration = await workers.register("/sw.js", { updateViaCache: "none" });
	if (registration.active) await registration.update();
	await workers.ready;
}

function socket(): Promise<void> {
	return new Promise((resolve, reject) => {
		const s = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/pair/probe`);
		const end = (act: () => void) => {
			s.onmessage = s.onerror = s.onclose = null;
			s.close();
			act();
		};
		s.onmessage = () => end(resolve);
		s.onerror = s.onclose = () => end(() => reject(new Error("the socket did not open")));
	});
}

// persisted asks the browser to keep the storage, which some grant only to an installed app, and what it does.
async function persisted(): Promise<boolean | null> {
	persist(() => {});
	const storage = navigator.storage as StorageManager | undefined; // missing in some browsers
	return storage?.persisted ? storage.persisted() : null;
}

// clock reads the stamp of an answer that never comes from the app's own store: whole seconds, so half a second is added.
async function clock(): Promise<number | null> {
	const before = Date.now();
	const res = await fetch("/api/health", { cache: "no-store" });
	const middle = (before + Date.now()) / 2;
	const stamp = Date.parse(res.headers.get("Date") ?? "");
	return Number.isNaN(stamp) ? null : stamp + 500 - middle;
}

// Puts the tablet's program together in a browser: storage, calculation, sync,
// and the events of the page. The only module of lib that listens to the page.

import { calcworkerURL, pageBuild } from "./built";
import { Calc, type WorkerLike } from "./calc";
import { Database } from "./db";
import { deviceName, flushDrafts, setStatus, start, type Wires } from "./state";
import { type Socket, Sync, type Told } from "./sync";
import { Updates } from "./update";

const HEARD_MS = 30_000; // between two notes on the disk of when the shop was last heard

let isUp = false;
let updates: Updates | null = null;

/** boot starts everything, once. It rejects when the storage does not open and can then be called again. */
export async function boot(): Promise<void> {
	if (isUp) return;
	askToPersist();
	const store = new Database(
		() => indexedDB,
		(storageError) => setStatus({ storage: "failing", storageError }),
	);
	const calc = new Calc(() => new Worker(calcworkerURL) as unknown as WorkerLike);
	const others = "BroadcastChannel" in globalThis ? new BroadcastChannel("tubewright") : null;
	let sync: Sync | null = null;
	const wires = await start({
		store,
		ask: (kind, question) => calc.ask(kind, question),
		now: Date.now,
		hash: () => location.hash,
		setHash: (hash) => {
			if (location.hash !== hash) location.hash = hash;
		},
		grown: () => sync?.grown(),
		tell: (ids) => others?.postMessage(ids),
		build: pageBuild(),
	});
	if (isUp) return; // asked for twice
	isUp = true;
	if (others) others.onmessage = (e) => void wires.reread(e.data as string[]).catch(wires.storage);
	updates = new Updates({
		onWaiting: () => setStatus({ update: true }),
		onIncomplete: () => setStatus({ notice: "the new version came incomplete; it is fetched again later" }),
	});
	sync = new Sync(world(), store, wires.who, told(wires, store, updates));
	listen(wires, sync);
	sync.start();
	deviceName.subscribe(() => sync?.renamed());
	await updates.start();
}

/** takeUpdate puts the waiting new version in charge; half-typed texts are kept first. */
export async function takeUpdate(): Promise<void> {
	await flushDrafts();
	await updates?.takeOver();
}

function told(wires: Wires, store: Database, newer: Updates): Told {
	let noted = 0;
	return {
		...wires,
		link: (link) => setStatus({ link }),
		heard: (now) => {
			setStatus({ shopHeard: now });
			if (now - noted < HEARD_MS) return;
			noted = now;
			store.putMeta({ heard: now }).catch(wires.storage);
		},
		offset: (ms) => setStatus({ clockOffsetMs: Math.round(ms) }),
		build: (build) => {
			if (build !== pageBuild()) void newer.check();
		},
		notice: (notice) => setStatus({ notice }),
	};
}

function world() {
	return {
		socket: () =>
			new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/sync`) as Socket,
		now: Date.now,
		random: Math.random,
		after: (ms: number, act: () => void) => {
			const timer = setTimeout(act, ms);
			return () => clearTimeout(timer);
		},
	};
}

function listen(wires: Wires, sync: Sync): void {
	addEventListener("hashchange", () => wires.arrive(location.hash));
	addEventListener("online", () => sync.online());
	addEventListener("pagehide", () => void flushDrafts());
	addEventListener("pageshow", (e) => {
		if ((e as PageTransitionEvent).persisted) sync.visible(true);
	});
	document.addEventListener("visibilitychange", () => {
		const isShown = document.visibilityState === "visible";
		if (!isShown) void flushDrafts();
		sync.visible(isShown);
	});
}

// Some browsers answer only after a question to the person, or never: nothing waits for it.
function askToPersist(): void {
	const storage = navigator.storage as StorageManager | undefined;
	storage?.persist?.().then(
		(persisted) => setStatus({ persisted }),
		() => {},
	);
}

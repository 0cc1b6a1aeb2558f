// Puts the tablet's program together in a browser: storage, calculation, sync,
// and the events of the page. The only module of lib that listens to the page.

import { calcworkerURL, longWasmURL, pageBuild, wasmURL } from "./built";
import { Calc, DRAWN, LONG, type Question, type WorkerLike } from "./calc";
import { Carrier } from "./carrier";
import { offeredIn } from "./code";
import { Database } from "./db";
import { startDrawer } from "./drawer";
import { lookAgain, startLong } from "./long";
import { proveLookup } from "./lookup";
import { looked, missed } from "./loss";
import { type BinarySocket, browserPacker, type Packer, Packing } from "./pack";
import {
	barred,
	isExempt,
	met,
	offered,
	pairing,
	putAside,
	reread as rereadPairing,
	startPairing,
	withToken,
} from "./pairing";
import { type PhotoWires, startPhotos } from "./photos";
import { Poll } from "./poll";
import { Roll, second } from "./roll";
import { estimate, isPlainTab, persist } from "./room";
import { HOME, hashOf } from "./route";
import { deviceName, flushDrafts, go, person, route, setStatus, start, type Wires } from "./state";
import { type Socket, Sync, type Told } from "./sync";
import { Turn } from "./turn";
import { Updates } from "./update";

const HEARD_MS = 30_000; // between two notes on the disk of when the shop was last heard
const ROLL_MS = 5_000; // the roll is waited for no longer
const ROOM_MS = 600_000;
const SPOILS = 3; // a page that slept may find its time for a frame run out without a fault

let isUp = false;
let updates: Updates | null = null;

/** boot starts everything, once. It rejects when the storage does not open and can then be called again. */
export async function boot(): Promise<void> {
	if (isUp) return;
	takeCode(location.hash);
	setStatus({ isPlainTab: isPlainTab() });
	persist((persisted) => setStatus({ persisted }));
	const store = new Database(
		() => indexedDB,
		(storageError) => setStatus({ storage: "waiting", storageError }),
		() => setStatus({ hasSpare: false }),
	);
	const calc = new Calc(() => worker(wasmURL));
	startLong(new Calc(() => worker(longWasmURL), LONG));
	const drawer = new Calc(() => worker(longWasmURL), DRAWN);
	startDrawer((kind, question) => drawer.ask(kind, question));
	const others = "BroadcastChannel" in globalThis ? new BroadcastChannel("tubewright") : null;
	const roll = new Roll(second());
	let sync: Sync | null = null;
	pairUp(() => sync?.renew());
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
		noted: (ids) => roll.note(ids),
		struck: (ids) => roll.strike(ids),
		build: pageBuild(),
	});
	if (isUp) return; // asked for twice
	isUp = true;
	addEventListener("hashchange", () => {
		const { hash } = location;
		takeCode(hash);
		wires.arrive(hash); // before anything is waited for: a tap may come
	});
	if (others) others.onmessage = (e) => void wires.reread(e.data as string[]).catch(wires.storage);
	updates = new Updates({
		onWaiting: () => setStatus({ update: true }),
		onIncomplete: () => setStatus({ notice: "the new version came incomplete; it is fetched again later" }),
	});
	pairFirst();
	await callRoll(roll, wires);
	const carrier = new Carrier({ ...ways(await browserPacker()), better: () => sync?.renew() });
	const world = { socket: () => carrier.open(), now: Date.now, random: Math.random, after };
	const photos = await startPhotos({
		fetch: (path, init) => fetch(path, withToken(path, init)),
		now: Date.now,
		random: Math.random,
		after,
	});
	sync = new Sync(world, store, wires.who, told(wires, photos, store, updates));
	listen(sync, photos, carrier, roll);
	takeTurns(sync);
	lookForRoom(store);
	deviceName.subscribe(() => sync?.renamed());
	await updates.start();
}

/** takeUpdate puts the waiting new version in charge; half-typed texts are kept first. */
export async function takeUpdate(): Promise<void> {
	await flushDrafts();
	await updates?.takeOver();
}

// worker starts one for the calculation in a wasm file.
function worker(wasm: string): WorkerLike {
	const made = new Worker(calcworkerURL);
	made.postMessage({ wasm } satisfies Question);
	return made as unknown as WorkerLike;
}

function told(wires: Wires, photos: PhotoWires, store: Database, newer: Updates): Told {
	let noted = 0;
	return {
		...wires,
		photos: (done) => photos.came(done),
		backed: (pos) => {
			wires.backed(pos);
			photos.backed(pos);
		},
		reoffered: async () => {
			await wires.reoffered();
			photos.reset();
		},
		link: (link) => {
			setStatus({ link });
			if (link === "live" && pairing.peek().stand !== "revoked") looked();
			if (link === "live") lookAgain();
		},
		heard: (now) => {
			setStatus({ shopHeard: now });
			if (!isExempt()) void proveLookup().catch(() => {}); // without it less can be said, no more
			if (now - noted < HEARD_MS) return;
			noted = now;
			store.putMeta({ heard: now }).catch(wires.storage);
		},
		offset: (ms) => setStatus({ clockOffsetMs: Math.round(ms) }),
		build: (build) => {
			if (build !== pageBuild()) void newer.check();
		},
		notice: (notice) => setStatus({ notice }),
		aside: (aside) => setStatus({ aside }),
		met,
		barred,
		putAside,
	};
}

// takeCode keeps the code that a pairing link brought, and takes it out of the address.
function takeCode(hash: string): void {
	const code = offeredIn(hash);
	if (code === "") return;
	offered.value = code;
	history.replaceState(history.state, "", hashOf({ screen: "pair" }));
}

// pairUp makes pairing possible.
function pairUp(renew: () => void): void {
	const others = "BroadcastChannel" in globalThis ? new BroadcastChannel("tubewright pairing") : null;
	if (others) others.onmessage = () => void rereadPairing().then(renew, () => {});
	startPairing({
		fetch: (path, init) => fetch(path, init),
		host: location.hostname,
		changed: () => {
			others?.postMessage(null);
			renew();
		},
	});
}

// A tablet that nobody has used yet begins with the pairing.
function pairFirst(): void {
	const isNew = !pairing.peek().hasToken && person.peek() === "";
	if (isNew && !isExempt() && hashOf(route.peek()) === hashOf(HOME)) go({ screen: "pair" });
}

// callRoll finds out what was here at the last start and is gone, before the sync asks the shop for what is missing.
async function callRoll(roll: Roll, wires: Wires): Promise<void> {
	const late = new Promise<string[]>((resolve) => setTimeout(() => resolve([]), ROLL_MS));
	const gone = await Promise.race([roll.call(wires.ids()), late]);
	await missed(gone).catch(wires.storage);
}

function after(ms: number, act: () => void): () => void {
	const timer = setTimeout(act, ms);
	return () => clearTimeout(timer);
}

function ways(packer: Packer | null) {
	let works = packer;
	let spoils = 0;
	return {
		socket: (): Socket => {
			const socket = new WebSocket(
				`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/sync`,
			);
			if (!works) return socket as Socket;
			return new Packing(socket as BinarySocket, works, () => {
				if (++spoils >= SPOILS) works = null; // from now on the shop is not told that this tablet unpacks
			});
		},
		poll: () => new Poll((path, init) => fetch(path, init)),
		after,
	};
}

function takeTurns(sync: Sync): void {
	const turn = new Turn(navigator.locks as LockManager | undefined, {
		mine: () => sync.start(),
		theirs: () => {
			sync.stop();
			setStatus({ link: "other" });
		},
	});
	const decide = () => (document.visibilityState === "visible" ? turn.take() : turn.wait());
	document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && turn.take());
	addEventListener("focus", () => turn.take()); // of two windows side by side, the one in use
	decide();
}

// lookForRoom sets room aside for readings, and says how much there is.
function lookForRoom(store: Database): void {
	const look = async () => {
		const hasSpare = await store.spare();
		setStatus({ hasSpare, room: await estimate() });
	};
	const quietly = () => void look().catch(() => {}); // what cannot be written is told by what has to be written
	document.addEventListener("visibilitychange", quietly);
	setInterval(quietly, ROOM_MS);
	quietly();
}

function listen(sync: Sync, photos: PhotoWires, carrier: Carrier, roll: Roll): void {
	const leave = () => {
		void flushDrafts();
		void roll.flush();
	};
	addEventListener("online", () => sync.online());
	addEventListener("pagehide", leave);
	addEventListener("pageshow", (e) => {
		if ((e as PageTransitionEvent).persisted) sync.visible(true);
	});
	document.addEventListener("visibilitychange", () => {
		const isShown = document.visibilityState === "visible";
		if (isShown) carrier.shown();
		else leave();
		sync.visible(isShown);
		photos.visible(isShown);
	});
}

// The service worker: keeps one whole, checked set of files, so that the app starts
// with the shop machine gone. It never touches records; those live in IndexedDB.

declare const self: ServiceWorkerGlobalScope;
/** The set of this build, put in by cmd/build. */
declare const BUILT_SET: { build: string; files: { name: string; sha256: string; later?: boolean }[] };

const OURS = "tubewright-";
const CACHE = OURS + BUILT_SET.build;

/** What pages say to their worker. "build" is answered through the port it brings. */
export type Said = { type: "take-over" } | { type: "build" } | { type: "started" };

self.addEventListener("install", (event) => {
	// No skipWaiting here: a page that is being typed in keeps the set it was made of.
	event.waitUntil(install());
});

self.addEventListener("activate", (event) => {
	event.waitUntil(activate());
});

self.addEventListener("message", (event) => {
	const said = event.data as Said;
	if (said?.type === "take-over") event.waitUntil(self.skipWaiting());
	if (said?.type === "build") event.ports[0]?.postMessage(BUILT_SET.build);
	if (said?.type === "started") event.waitUntil(sweep(1));
});

self.addEventListener("fetch", (event) => {
	const url = new URL(event.request.url);
	if (event.request.method !== "GET" || url.origin !== self.location.origin) return;
	if (url.pathname.startsWith("/api/") || url.pathname.startsWith("/blob/")) return;
	if (url.pathname === "/sync" || url.pathname.startsWith("/sync/")) return;
	if (url.pathname === "/shop" || /^\/(shop|pair)\//.test(url.pathname)) return; // the shop's own page, and what needs the shop
	event.respondWith(answer(event.request, url.pathname));
});

// install stores the whole set or nothing: a missing, cut or changed file voids it,
// and the worker before this one goes on with the set before this one.
async function install(): Promise<void> {
	const had = await caches.has(CACHE); // the shop machine went back to a build that is in use
	try {
		const cache = await caches.open(CACHE);
		// What pages start with comes first, so that the rest does not hold it up on a slow link.
		for (const turn of [false, true]) {
			const files = BUILT_SET.files.filter((f) => (f.later ?? false) === turn);
			const stored = await Promise.allSettled(files.map((f) => store(cache, f.name, f.sha256)));
			for (const s of stored) if (s.status === "rejected") throw s.reason;
		}
	} catch (err) {
		if (!had) await caches.delete(CACHE);
		throw err;
	}
}

async function store(cache: Cache, name: string, want: string): Promise<void> {
	const got = await fetch(`/${name}`, { cache: "no-cache" });
	if (!got.ok) throw new Error(`${name}: the shop machine answered ${got.status}`);
	const bytes = await got.arrayBuffer();
	const sum = hex(await crypto.subtle.digest("SHA-256", bytes));
	if (sum !== want) throw new Error(`${name}: sha256 ${sum}, the build says ${want}`);
	// A new Response, because a redirected one may not answer a navigation. The bytes
	// are no longer packed, so the headers that say so must go.
	const headers = new Headers(got.headers);
	headers.delete("Content-Encoding");
	headers.delete("Content-Length");
	await cache.put(`/${name}`, new Response(bytes, { headers }));
}

function hex(sum: ArrayBuffer): string {
	return Array.from(new Uint8Array(sum), (b) => b.toString(16).padStart(2, "0")).join("");
}

async function activate(): Promise<void> {
	await self.clients.claim();
	await sweep(0);
}

// sweep deletes our older sets unless more pages are open than may be (a page of an
// older set may still start its worker from it) or a newer set is on its way.
async function sweep(pages: number): Promise<void> {
	const open = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
	if (open.length > pages || self.registration.installing || self.registration.waiting) return;
	for (const name of await caches.keys()) {
		if (name.startsWith(OURS) && name !== CACHE) await caches.delete(name);
	}
}

async function answer(request: Request, path: string): Promise<Response> {
	try {
		const kept = await fromSets(request, path);
		return kept ?? (await fetch(request));
	} catch {
		return new Response("The shop machine cannot be reached, and this page is not on the tablet.", {
			status: 503,
			headers: { "Content-Type": "text/plain; charset=utf-8" },
		});
	}
}

// fromSets answers a navigation with the shell, whatever its path and query, and a
// file from our own set first, then from an older one that an open page still uses.
async function fromSets(request: Request, path: string): Promise<Response | undefined> {
	const own = await caches.open(CACHE);
	if (request.mode === "navigate") return own.match(shell(path));
	const options = { ignoreSearch: true, ignoreVary: true };
	return (await own.match(path, options)) ?? (await caches.match(path, options));
}

function shell(path: string): string {
	return path === "/wall" || path === "/wall/" || path === "/wall.html" ? "/wall.html" : "/index.html";
}

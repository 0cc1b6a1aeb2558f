// Brings a new build onto the tablet: asks for it, says that it waits, and takes it
// over when the person agrees. Never by itself, and never twice.

import { pageBuild } from "./built";

/** What the page is told. */
export interface UpdateEvents {
	/** A whole, checked newer build waits; offer it when nothing is half typed. */
	onWaiting(build: string): void;
	/** A newer build came incomplete; the one in use goes on. It is asked for again. */
	onIncomplete(): void;
}

const HOUR_MS = 3_600_000;
const TAKE_OVER_MS = 4_000; // some tablets never tell of the change
const ANSWER_MS = 4_000;

/** Updates watches for newer builds from start() on. Without service workers it does nothing. */
export class Updates {
	private registration: ServiceWorkerRegistration | null = null;
	private told = "";

	constructor(private events: UpdateEvents) {}

	/** start registers the worker and asks for a newer build now, hourly, and when the page becomes visible. */
	async start(): Promise<void> {
		if (!("serviceWorker" in navigator)) return;
		try {
			this.registration = await navigator.serviceWorker.register("/sw.js", { updateViaCache: "none" });
		} catch (err) {
			console.warn("the app will not start without the shop machine:", err);
			return;
		}
		const { registration } = this;
		registration.addEventListener("updatefound", () => this.watch(registration.installing));
		this.watch(registration.installing);
		void this.look();
		registration.active?.postMessage({ type: "started" });
		document.addEventListener("visibilitychange", () => {
			if (document.visibilityState === "visible") void this.check();
		});
		setInterval(() => void this.check(), HOUR_MS);
		await this.check();
	}

	/** check asks for a newer build; also when the shop machine names another one. */
	async check(): Promise<void> {
		try {
			await this.registration?.update();
		} catch {
			return; // offline; the next check asks again
		}
		await this.look();
	}

	/**
	 * takeOver puts the waiting build in charge and reloads the page, at most once for
	 * each build. Keep drafts first. Where none waits, another window has put it in
	 * charge already and the page is only loaded again.
	 */
	async takeOver(): Promise<void> {
		const waiting = this.registration?.waiting;
		if (!waiting) {
			location.reload();
			return;
		}
		const build = await buildOf(waiting);
		const changed = new Promise<void>((resolve) => {
			navigator.serviceWorker.addEventListener("controllerchange", () => resolve(), { once: true });
			setTimeout(resolve, TAKE_OVER_MS);
		});
		waiting.postMessage({ type: "take-over" });
		await changed;
		const key = `tubewright-reloaded-${build}`;
		if (sessionStorage.getItem(key)) return;
		sessionStorage.setItem(key, "1");
		location.reload();
	}

	private watch(worker: ServiceWorker | null): void {
		if (!worker) return;
		let whole = false;
		worker.addEventListener("statechange", () => {
			if (worker.state === "installed") {
				whole = true;
				void this.look();
			}
			if (worker.state === "redundant" && !whole) this.events.onIncomplete();
		});
	}

	// look tells of the waiting build, once, unless the page already belongs to it.
	private async look(): Promise<void> {
		const waiting = this.registration?.waiting;
		if (!waiting || !navigator.serviceWorker.controller) return;
		const build = await buildOf(waiting);
		if (build === this.told || build === pageBuild()) return;
		this.told = build;
		this.events.onWaiting(build);
	}
}

// buildOf is "" when the worker does not answer: a browser may have ended it meanwhile.
function buildOf(worker: ServiceWorker): Promise<string> {
	return new Promise((resolve) => {
		setTimeout(() => resolve(""), ANSWER_MS);
		const channel = new MessageChannel();
		channel.port1.onmessage = (e) => resolve(String(e.data));
		worker.postMessage({ type: "build" }, [channel.port2]);
	});
}

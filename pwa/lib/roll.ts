// The roll: the ids of all records this tablet has kept, in a second store beside
// the database. Browsers have lost single records and whole databases after an
// update of the system; at each start the roll says which ones.

const PAGE = 1_000; // ids in one text: what is written again when a record is kept stays small
const PAUSE_MS = 1_000;

/** Texts under short names; each is there or null. */
export interface Second {
	read(name: string): Promise<string | null>;
	write(name: string, text: string): Promise<void>;
}

export class Roll {
	private ids: string[] = [];
	private known = new Set<string>();
	private dirty = new Set<number>(); // pages not yet written
	private timer: ReturnType<typeof setTimeout> | null = null;
	private writing: Promise<void> = Promise.resolve();

	constructor(private second: Second) {}

	/** call returns the ids on the roll that are not held, and puts on it what is held and was not noted. */
	async call(held: string[]): Promise<string[]> {
		const noted = await this.load();
		const here = new Set(held);
		this.ids = [...new Set([...noted, ...this.ids])];
		this.known = new Set(this.ids);
		for (let at = noted.length; at < this.ids.length; at++) this.dirty.add(Math.floor(at / PAGE));
		const lost = this.ids.filter((id) => !here.has(id));
		this.note(held);
		return lost;
	}

	/** note puts ids on the roll; it is written a moment later. */
	note(ids: string[]): void {
		for (const id of ids) {
			if (this.known.has(id)) continue;
			this.known.add(id);
			const place = this.ids.push(id) - 1;
			this.dirty.add(Math.floor(place / PAGE));
		}
		if (this.dirty.size === 0) return;
		if (this.timer !== null) clearTimeout(this.timer);
		this.timer = setTimeout(() => void this.flush(), PAUSE_MS);
	}

	/** strike takes ids off the roll: the person knows that they are gone. */
	async strike(ids: string[]): Promise<void> {
		const gone = new Set(ids);
		const pages = Math.ceil(this.ids.length / PAGE);
		this.ids = this.ids.filter((id) => !gone.has(id));
		this.known = new Set(this.ids);
		for (let page = 0; page < pages; page++) this.dirty.add(page);
		await this.flush();
	}

	/** flush writes what is noted now, without waiting for the pause to end. */
	flush(): Promise<void> {
		if (this.timer !== null) clearTimeout(this.timer);
		this.timer = null;
		const pages = [...this.dirty];
		this.dirty.clear();
		this.writing = this.writing.then(async () => {
			for (const page of pages) {
				const ids = this.ids.slice(page * PAGE, (page + 1) * PAGE);
				// without the second store the next start finds less; nothing else depends on it
				await this.second.write(`${page}`, ids.join("\n")).catch(() => {});
			}
		});
		return this.writing;
	}

	private async load(): Promise<string[]> {
		const ids: string[] = [];
		for (let page = 0; ; page++) {
			const text = await this.second.read(`${page}`).catch(() => null);
			if (!text) return ids;
			ids.push(...text.split("\n"));
		}
	}
}

const NAME = "roll"; // not named like the app's file sets, which the service worker clears away

/** second is an entry in the browser's cache, or its plain storage where there is no cache. */
export function second(): Second {
	if (!("caches" in globalThis)) {
		return {
			read: async (name) => localStorage.getItem(`${NAME} ${name}`),
			write: async (name, text) => localStorage.setItem(`${NAME} ${name}`, text),
		};
	}
	return {
		read: async (name) => {
			const kept = await (await caches.open(NAME)).match(`/${NAME}/${name}`);
			return kept ? kept.text() : null;
		},
		write: async (name, text) => (await caches.open(NAME)).put(`/${NAME}/${name}`, new Response(text)),
	};
}

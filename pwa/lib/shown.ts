// Pictures on the screen: their bytes become an address that an image can show,
// for as long as somebody shows them. They are looked for on this tablet, then in
// the shop; what was not found is looked for again when that may have changed.

import { type Signal, signal } from "@preact/signals";
import { Away } from "./downloads";

/** A picture that can be shown: url "" while there is none, and why. */
export interface Shown {
	url: string;
	why: "" | "loading" | "away" | "offline" | "gone";
}

interface Use {
	shown: Signal<Shown>;
	users: number;
}

const LINGER_MS = 10_000; // a picture that nobody shows keeps its memory for so long

/** Find resolves with the bytes of a picture; it rejects with Away where nobody has them. */
export type Find = (sha: string) => Promise<BlobPart[]>;

export class Gallery {
	private uses = new Map<string, Use>();

	constructor(private find: Find) {}

	/** show gives a picture by its sha; letGo must follow. */
	show(sha: string): Signal<Shown> {
		const known = this.uses.get(sha);
		const use = known ?? { shown: signal<Shown>({ url: "", why: "loading" }), users: 0 };
		use.users++;
		this.uses.set(sha, use);
		if (!known) void this.look(sha, use);
		return use.shown;
	}

	letGo(sha: string): void {
		const use = this.uses.get(sha);
		if (!use) return;
		use.users--;
		setTimeout(() => {
			if (use.users > 0 || this.uses.get(sha) !== use) return;
			this.uses.delete(sha);
			revoke(use);
		}, LINGER_MS);
	}

	/** again looks for what was not found. */
	again(): void {
		for (const [sha, use] of this.uses) if (use.shown.peek().url === "") void this.look(sha, use);
	}

	/** gone takes a picture off every screen. */
	gone(sha: string): void {
		const use = this.uses.get(sha);
		if (!use) return;
		revoke(use);
		use.shown.value = { url: "", why: "gone" };
	}

	private async look(sha: string, use: Use): Promise<void> {
		try {
			const bytes = await this.find(sha);
			if (use.shown.peek().url !== "" || this.uses.get(sha) !== use) return;
			use.shown.value = { url: URL.createObjectURL(new Blob(bytes, { type: "image/jpeg" })), why: "" };
		} catch (err) {
			const why = !(err instanceof Away) ? "offline" : err.isGone ? "gone" : "away";
			if (use.shown.peek().url === "") use.shown.value = { url: "", why };
		}
	}
}

function revoke(use: Use): void {
	const { url } = use.shown.peek();
	if (url !== "") URL.revokeObjectURL(url);
}

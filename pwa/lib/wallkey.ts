// What a wall board keeps: the id it made itself, and the token of its pairing.

import type { WallKey } from "./board";
import { ask, type Fetch, NotPaired } from "./code";
import { canPair, type Line, type Probes, selftest } from "./selftest";
import { test } from "./textpair";
import { wall } from "./textwall";

const NAME = "tubewright wall";

/** Shelf is what is used of the browser's plain storage. */
export interface Shelf {
	getItem(name: string): string | null;
	setItem(name: string, text: string): void;
}

/** wallKey returns what is kept; a board that keeps nothing gets an id for this page only. */
export function wallKey(shelf: Shelf): WallKey {
	try {
		const kept = JSON.parse(shelf.getItem(NAME) ?? "{}") as Partial<WallKey>;
		if (typeof kept.dev === "string" && typeof kept.token === "string")
			return { dev: kept.dev, token: kept.token };
	} catch {
		// not readable: as good as none
	}
	return { dev: `wall-${Math.random().toString(36).slice(2, 12)}`, token: "" };
}

/** pairWall pairs this board with a code, typed or of its link, and keeps the token. It rejects with why not, as a sentence. */
export async function pairWall(
	code: string,
	was: WallKey,
	shelf: Shelf,
	probes: Probes,
	fetch: Fetch,
): Promise<WallKey> {
	let lines: Line[] = [];
	const checks = await selftest(probes, (l) => {
		lines = l;
	});
	if (!canPair(checks)) {
		const bad = lines.filter((l) => l.is === "bad").map((l) => test.not[l.name]?.(l.said) ?? l.name);
		throw new Error(wall.failed(bad.join(", ")));
	}
	const { token, role } = await ask(fetch, { code, dev: was.dev, for: "wall", checks });
	// a shop of before it was told what asks; its code is used up
	if (role !== "board") throw new NotPaired("tablet");
	const key = { dev: was.dev, token };
	shelf.setItem(NAME, JSON.stringify(key));
	return key;
}

// Colours of the drawing in three dimensions, from the same tokens as the rest of the
// page. Tubes differ in tint only a little: their numbers tell them apart.

import { Color, LineBasicMaterial, type Material, MeshBasicMaterial, MeshLambertMaterial } from "three";
import type { Coat } from "../../lib/solid/model";

const TOKENS = ["sheet", "ink", "ink-soft", "blue", "scribe", "stop"] as const;
type Palette = Record<(typeof TOKENS)[number], Color>;

const AROUND = { light: 0.47, dark: 0.66 }; // how dense neighbours are: they stand out by 3 : 1, and tubes are seen through them
const STEEL = 0.55; // how much grey is in the blue of a tube
const TINTS = [0.25, 0.55, 0.4, 0.7]; // and how much of the ground, by turns

/** Paint holds the materials of one drawing until it is thrown away. */
export class Paint {
	readonly ground: Color;
	private palette: Palette;
	private made = new Map<string, Material>();

	constructor(page: Element) {
		const style = getComputedStyle(page);
		this.palette = Object.fromEntries(
			TOKENS.map((t) => [t, new Color(style.getPropertyValue(`--${t}`).trim() || "#808080")]),
		) as Palette;
		this.ground = this.palette.sheet;
	}

	/** of is the material of a coat; what is marked is scribed. */
	of(coat: Coat, isMarked: boolean): Material {
		const key = `${coat.coat} ${coat.coat === "tube" ? coat.tint % TINTS.length : ""} ${isMarked}`;
		const had = this.made.get(key);
		if (had) return had;
		const made = this.make(coat, isMarked);
		this.made.set(key, made);
		return made;
	}

	/** depth is of what shall be seen through as one body: its nearest surface alone, without a colour. */
	depth(): Material {
		const had = this.made.get("depth");
		if (had) return had;
		const made = new MeshBasicMaterial({ colorWrite: false, transparent: true });
		this.made.set("depth", made);
		return made;
	}

	dispose(): void {
		for (const m of this.made.values()) m.dispose();
		this.made.clear();
	}

	private make(coat: Coat, isMarked: boolean): Material {
		const p = this.palette;
		const mixed = (a: Color, share: number) => a.clone().lerp(p.sheet, share);
		const plain = (color: Color) => new MeshLambertMaterial({ color: isMarked ? p.scribe : color });
		const clear = (color: Color, opacity: number) =>
			new MeshLambertMaterial({
				color: isMarked ? p.scribe : color,
				transparent: true,
				opacity,
			});
		// what was touched on a mock-up lies inside the tube, and is seen through it
		const through = (color: Color) =>
			new MeshBasicMaterial({ color: isMarked ? p.scribe : color, transparent: true, depthTest: false });
		switch (coat.coat) {
			case "tube":
				return plain(mixed(p.blue.clone().lerp(p["ink-soft"], STEEL), TINTS[coat.tint % TINTS.length] ?? 0));
			case "plate":
				return plain(mixed(p["ink-soft"], 0.45));
			case "base":
				return plain(mixed(p.ink, 0.7));
			case "post":
				return plain(mixed(p.ink, 0.35));
			case "off":
				return plain(mixed(p.scribe, 0.2));
			case "way":
				return plain(p.stop);
			case "socket":
				return plain(mixed(p["ink-soft"], 0.25));
			case "weld":
				return plain(p["ink-soft"]);
			case "measured":
				return through(p.ink);
			case "suspect":
				return through(p.stop);
			case "point":
				return plain(p.ink);
			case "line":
				return new LineBasicMaterial({ color: isMarked ? p.scribe : p.ink });
			case "around":
				return clear(p.ink, p.sheet.getHSL({ h: 0, s: 0, l: 0 }).l < 0.5 ? AROUND.dark : AROUND.light);
			case "doubt":
				return clear(p.blue, 0.2);
		}
	}
}

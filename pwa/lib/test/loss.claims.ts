// Claims about records that vanish from the tablet's storage.

import { looked, missed, seenLoss } from "../loss";
import { hold, newID } from "../record";
import { Roll, type Second } from "../roll";
import { isPlainTab } from "../room";
import * as state from "../state";
import { claim, holds, random, same, wait } from "./claim";
import { Disk, Memory } from "./memory";

class Shelf implements Second {
	texts = new Map<string, string>();
	writes = 0;
	read = async (name: string) => this.texts.get(name) ?? null;
	write = async (name: string, text: string) => {
		this.writes++;
		this.texts.set(name, text);
	};
}

claim("ST4: the roll names what is gone, and no more, over any number of starts", async () => {
	const rnd = random(4);
	const shelf = new Shelf();
	let held: string[] = [];
	let gone: string[] = [];
	for (let start = 0; start < 12; start++) {
		const roll = new Roll(shelf);
		same([...(await roll.call(held))].sort(), [...gone].sort(), `start ${start}`);
		if (start % 3 === 2) {
			await roll.strike(gone);
			gone = [];
		}
		const fresh = Array.from({ length: Math.floor(rnd() * 700) }, newID);
		roll.note(fresh);
		held.push(...fresh);
		await roll.flush();
		const lost = held.filter(() => rnd() < 0.01);
		held = held.filter((id) => !lost.includes(id));
		gone.push(...lost);
	}
	holds(held.length > 2_000, `${held.length} held`);
});

claim("ST4: what is noted stands on the roll a moment later, in one write for many", async () => {
	const shelf = new Shelf();
	const roll = new Roll(shelf);
	await roll.call([]);
	for (let i = 0; i < 50; i++) roll.note([newID()]);
	await wait(1_200);
	same([shelf.texts.get("0")?.split("\n").length, shelf.writes], [50, 1]);
});

claim("ST4: a second store that does not work loses nothing else", async () => {
	const broken: Second = {
		read: () => Promise.reject(new Error("no")),
		write: () => Promise.reject(new Error("no")),
	};
	const roll = new Roll(broken);
	same(await roll.call([newID()]), []);
	roll.note([newID()]);
	await roll.flush();
});

async function begin(disk: Disk, struck: string[] = []) {
	const store = new Memory(disk);
	const wires = await state.start({
		store,
		ask: () => Promise.reject(new Error("no wasm")),
		now: () => 5_000,
		hash: () => "",
		setHash: () => {},
		grown: () => {},
		tell: () => {},
		noted: () => {},
		struck: async (ids) => void struck.push(...ids),
		build: "b",
	});
	return { store, wires };
}

const note = (body: string, pos: number | null) =>
	hold(
		JSON.stringify({
			id: newID(),
			dev: "d",
			kind: "note",
			job: "j",
			slot: "s",
			hlc: "",
			body: { text: body },
		}),
		pos,
	);

claim(
	"ST4: a loss is told by its number, the shop's log is read again, and what stays away is told until seen",
	async () => {
		const disk = new Disk();
		const [a, b, c] = [await note("a", 1), await note("b", 2), await note("c", null)];
		disk.records.set(a.id, a);
		disk.meta = { cursor: 2, chain: "ab" };
		const struck: string[] = [];
		const { wires } = await begin(disk, struck);
		await missed([b.id, c.id]);
		same(state.status.value.lost, { gone: 2, back: 0, isLooking: true });
		same([disk.place.cursor, disk.place.chain], [0, "0".repeat(64)]);
		wires.fed([b], [], [{ id: b.id, pos: 2 }]);
		looked();
		same(state.status.value.lost, { gone: 1, back: 1, isLooking: false });
		await seenLoss();
		same([state.status.value.lost, struck], [null, [c.id]]);
	},
);

claim("ST4: a hole in the outbox is filled, and what it holds of no record is dropped", async () => {
	const disk = new Disk();
	const [sent, waiting, lost] = [await note("a", 1), await note("b", null), await note("c", null)];
	for (const r of [sent, waiting]) disk.records.set(r.id, r);
	disk.outbox.set(lost.id, 1);
	await begin(disk);
	same([...disk.outbox], [[waiting.id, 5_000]]);
	same(state.status.value.unsent, 1);
});

claim("ST2: only a tablet's browser tab is warned about", () => {
	const tablet = "Mozilla/5.0 (Linux; Android 16; Tablet) Mobile";
	const desktop = "Mozilla/5.0 (X11; Linux x86_64)";
	const mac = "Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7)";
	const cases: [string, number, string, boolean][] = [
		[tablet, 5, "browser", true],
		[tablet, 5, "standalone", false],
		[tablet, 5, "fullscreen", false],
		[mac, 5, "browser", true], // a tablet that calls itself a desktop
		[mac, 0, "browser", false],
		[desktop, 0, "browser", false],
		[desktop, 10, "browser", false], // a bench PC with a touch screen
	];
	const [nav, media] = [globalThis.navigator, globalThis.matchMedia];
	for (const [userAgent, maxTouchPoints, mode, want] of cases) {
		Object.defineProperty(globalThis, "navigator", {
			value: { userAgent, maxTouchPoints },
			configurable: true,
		});
		globalThis.matchMedia = ((q: string) => ({
			matches: q === `(display-mode: ${mode})`,
		})) as typeof matchMedia;
		same(isPlainTab(), want, `${userAgent} ${maxTouchPoints} ${mode}`);
	}
	Object.defineProperty(globalThis, "navigator", { value: nav, configurable: true });
	globalThis.matchMedia = media;
});

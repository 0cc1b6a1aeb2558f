// The shapes of records, and of what a set of them says of a slot; those of the plan and of the
// app stand in types….ts beside it. Nothing here runs. Lengths are integer nanometres, angles
// millionths of a degree, plain numbers millionths.

export type Quantity = "length" | "angle" | "number" | "word";

/** What a reading says. Exactly one of nm, udeg, micro is there, none for a word. */
export interface ReadingBody {
	text: string; // as typed, byte for byte
	unit: string; // "mm", "cm", "m", "in", "ft", "deg", "1", "word"
	nm?: number;
	udeg?: number;
	micro?: number;
	res?: number; // resolution stated by the way it was written, same unit
	tool: string;
	form?: string; // name of its form where that is not the record's id
	person: string;
	at: string; // RFC 3339 with offset, this tablet's clock
}

export interface NoteBody {
	text: string;
	person: string;
	at: string;
}

/** A record as its device wrote it. The JSON text is what is stored, sent and hashed. */
export interface Envelope {
	id: string; // 26 characters of [a-z2-7]: 128 random bits
	dev: string;
	n: number; // local counter, for people and send order; never identity
	hlc: string; // "1764025441123-0004-dev"; orders history, decides nothing
	kind: string; // reading, choice, retract, note; others are kept unread
	job: string;
	slot: string;
	over?: string[];
	seen?: string[];
	chosen?: string;
	target?: string;
	sv: number;
	body: unknown;
}

/** A record as the database holds it. */
export interface Stored {
	id: string;
	raw: string;
	h: string; // sha256 of raw, hex
	job: string;
	slot: string;
	kind: string;
	hlc: string;
	pos: number | null; // position in the shop's log; null until read back from it
}

/** What a person typed, read by typed.ts, on its way into a record. */
export interface ReadingInput {
	text: string;
	unit: string;
	v: number; // nm, millionths of a degree or millionths; 0 for a word
	res: number;
	quantity: Quantity;
	tool: string;
}

/** A reading that is on the table, as the calculation or the local records show it. */
export interface Head {
	id: string;
	dev: string;
	hlc: string;
	text: string;
	unit: string;
	nm?: number;
	udeg?: number;
	micro?: number;
	res?: number;
	tool: string;
	person: string;
	at: string;
}

/** head: on the table · aside: a choice passed it over · replaced: an edit stands over it · retracted: taken back. */
export interface RawReading extends Head {
	standing: "head" | "aside" | "replaced" | "retracted";
}

export interface SlotView {
	state: "missing" | "agreed" | "disputed" | "chosen";
	value: string; // id of the reading in use, "" when missing
	heads: Head[];
	aside?: Head[];
	unreadable?: string[]; // ids of readings on the table that cannot be read here
}

/** A choice that stands. */
export interface Choice {
	id: string;
	chosen: string; // id of the reading
	person: string;
	at: string;
}

export interface NoteView {
	text: string;
	person: string;
	at: string;
	id: string;
}

export interface ListItem {
	id: string;
	parent?: string;
	order?: string;
}

export interface Fault {
	slot?: string;
	name: string;
	where?: string;
	text?: string;
	unit?: string;
	low?: number; // left out when there is no limit
	high?: number;
	message: string;
}

export interface Todo {
	slot: string;
	label: string;
	where: string;
}

export type Point = [number, number, number];

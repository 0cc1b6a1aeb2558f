// The shapes that records, answers of the calculation and screens share. Nothing
// here runs. Lengths inside are integer nanometres, angles millionths of a
// degree, plain numbers millionths; answers of the plan are mm and degrees.

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

/**
 * Keys are those that the program's plan command prints: mm and degrees. disputed
 * names the slots in dispute on which figures rest.
 */
export interface PlanPiece {
	id: string;
	kind: "straight" | "bend";
	length: number;
	angle?: number;
	clr?: number;
	outside?: number;
	inside?: number;
	clock_arc?: number;
	element?: string;
	disputed: string[];
}

export interface PlanTube {
	id: string;
	disputed: string[];
	length: number;
	from?: string;
	target?: number | null;
	od?: number | null;
	wall?: number | null;
	tolerance?: number | null;
	deviation?: number | null;
	sigma?: number | null;
	low?: number; // lowest and highest length over what is disputed
	high?: number;
	end?: { at: Point; dir: Point; disputed: string[] };
	lra?: { length: number; rotation: number; angle: number; clr: number; disputed: string[] }[];
	last?: number;
	last_disputed: string[];
	xyz?: Point[];
	pieces?: PlanPiece[];
	path?: PathPiece[] | null; // null: the tube has no place yet
	survey?: PlanSurvey | null; // null: it was not picked off a mock-up
	levers?: Lever[] | null;
	socket?: PlanSocket | null;
	closing?: PlanClosing | null;
}

/** How far the end of a tube moves when a joint is off, the largest first. */
export interface Lever {
	joint: number; // counted from the port
	element?: string;
	piece?: string; // the one that is clocked against the one before
	end_per_mm_of_mark?: number | null; // mm, for 1 mm of clock mark on the OD
	end_per_degree?: number | null; // mm
	end_per_degree_of_bend?: number | null; // of a bend that is bent too far
}

/** How the last straight meets its socket. */
export interface PlanSocket {
	collector: string;
	n: number;
	offset?: number | null; // between its axis and the socket's, in the plane of the mouths
	aim_off?: number | null; // °
	insert?: number | null; // how deep it sits
}

/** A path that was taken off piece by piece, adjusted to its socket; miss and aim are those before. */
export interface PlanClosing {
	why?: string; // what keeps it from being worked out
	miss?: number | null;
	miss_at?: Point | null;
	aim?: number | null; // °
	chi2?: number | null;
	dof?: number;
	too_far?: boolean; // figures had to move farther than their uncertainties allow
	lra?: MeasuredRow[] | null;
	last?: number | null;
	sigma_last?: number | null;
	length?: number | null;
	sigma_length?: number | null;
}

/** A row of bender data with one standard deviation of each figure. */
export interface MeasuredRow {
	length: number;
	rotation: number;
	angle: number;
	clr: number;
	sigma_length?: number | null;
	sigma_rotation?: number | null;
	sigma_angle?: number | null;
}

/** A piece of a path where it lies, in the frame of the first bank; an arc turns right-handed about its normal. */
export type PathPiece =
	| { kind: "line"; from: Point; to: Point }
	| { kind: "arc"; from: Point; to: Point; centre: Point; normal: Point; angle: number };

/** What was picked off a mock-up, in the frame of the first bank. */
export interface PlanSurvey {
	straights?: { n: number; points: Point[]; residuals?: number[] }[];
	misses?: { after: number; miss: number; sigma?: number; too_much?: boolean }[];
	suspect?: Suspect | null;
	why?: string; // what keeps it from being worked out
	chi2?: number | null;
	chi_limit?: number | null; // more than that is too much
	dof?: number | null;
	length?: number | null; // centreline
	sigma_length?: number | null;
	lra?: MeasuredRow[] | null;
	last?: number | null;
	sigma_last?: number | null;
	crowns?:
		| { after: number; clr?: number | null; sigma?: number | null; given?: number; why?: string }[]
		| null;
}

/** The point of a mock-up that does not go with the others, and by which tests. */
export interface Suspect {
	straight: number;
	point: number;
	mark?: string;
	off: number;
	tests?: string[];
	also?: { mark: string }[]; // those that explain it nearly as well
}

/** A frame seen from the first bank's: its origin, its z and its x. */
export interface Placed {
	at: Point;
	dir: Point;
	ref: Point;
}

export interface PlanCollector {
	id: string;
	placed?: Placed | null;
	socket_id?: number | null;
	socket_depth?: number | null;
	outlet_od?: number | null;
	sockets?: { n: number; at: Point; dir: Point; tube?: string }[];
}

export interface PlanPoint {
	id: string;
	at: Point | null;
	sigma?: Point | null; // half axes of one standard deviation, largest first
	axes?: [Point, Point, Point] | null;
	residuals?: { tape: string; off: number }[] | null;
	suspect?: string; // id of the tape that does not go with the others
	off?: number | null; // by how much that one is too long
	mirror?: Point | null; // the other place that fits
	entered?: Entered | null; // where it has coordinates beside its tapes
	why?: string; // what keeps it from being found
}

/** Where the coordinates of a point lie that is taped too; off, sigma and most are null where the tapes give no place. */
export interface Entered {
	at: Point;
	off?: number | null; // from the taped place
	sigma?: number | null; // what off may be at one sigma of both
	most?: number | null; // and at the most
	used?: boolean; // in place of the tapes
	why?: string; // what keeps the tapes from giving a place
}

/** Two frames that are tied together by points measured in both. */
export interface PlanFrame {
	frame: string;
	in: string;
	rms?: number | null;
	residuals?: { tie: string; off: number }[] | null;
	too_far?: boolean; // the points do not fit as well as they should
	targets?: { collector: string; sigma?: number | null; with_one_more?: number | null }[] | null;
	advice?: string;
}

/** Whether a tool reaches what it is for. */
export interface Access {
	what: string; // id of the bolt or plug
	tool?: string; // id of the one that has most room; a plug brings its own
	gap: number;
	wanted?: number | null;
	against?: string;
	at?: Point | null;
}

export type PlanShape =
	| { kind: "sphere"; at: Point; radius: number }
	| { kind: "rod"; from: Point; to: Point; radius: number }
	| { kind: "box"; at: Point; size: Point; x: Point; y: Point; z: Point }
	| { kind: "plane"; at: Point; normal: Point }
	| { kind: "sleeve"; points: Point[]; radius: number };

export interface PlanNeighbour {
	id: string;
	name?: string;
	what?: string;
	shapes?: PlanShape[];
}

/** The gap between two surfaces, where it is least over all that moves. A tube against itself has a = b. */
export interface PlanGap {
	a: string;
	b: string;
	gap: number;
	sigma?: number | null;
	least?: number | null; // below it nothing is cut
	wanted?: number | null;
	grade?: string;
	at_a?: Point;
	at_b?: Point;
	worst_case?: string;
	too_close_to_call?: boolean;
	disputed?: string[];
}

export interface Finding {
	severity: "stop" | "warn" | "note";
	rule: string;
	where?: string[];
	slots?: string[];
	value?: number;
	limit?: number;
	unit?: string; // of value and limit
	grade?: string;
	help?: string;
	text: string;
}

/** A place on the port face, in the bank's frame. */
export type OnFace = [number, number];

/** A corner of a closed path: x, y and the bulge of the side that starts there. */
export type Corner = [number, number, number];

/** A port, and the round tubes that it is like. */
export interface PlanPort {
	id: string;
	shape?: string;
	at?: OnFace | null;
	loop?: Corner[]; // in the bank's frame; none until it has its place
	points?: number | null; // measured round it
	uncertain?: { area_percent: number; perimeter_percent: number } | null;
	fit?: PlanFit | null;
	perimeter: number;
	area: number;
	hydraulic_diameter: number;
	equal_area?: number;
	equal_perimeter?: number;
	disputed: string[];
	at_disputed?: string[];
}

/** A shape of few dimensions that measured points may be. Turn and shift are those of the port's axes. */
export interface PlanFit {
	shape: string;
	width?: number;
	height?: number;
	corner?: number;
	diameter?: number;
	radius?: number;
	flat?: number;
	turn: number; // °
	shift: OnFace; // of its centre
	worst: number; // of the points
	worst_at: number; // counted from 1
	sigma: number;
}

/** How a flange or a pattern is laid on the head: turned over (x becomes −x), turned, moved. */
export interface Laid {
	how: string;
	angle: number;
	mirrored: boolean;
	move: OnFace;
}

/** How well holes lie on bolts. room and bolts_go_in are null while the bolt size is not known. */
export interface Fits {
	rms: number;
	minimax: number; // play on each side with which all go in
	room?: number | null;
	bolts_go_in?: boolean | null;
	worst: string;
	worst_off: number;
	certain?: boolean;
}

export interface SelfMatch extends Laid, Fits {
	mate: string;
	ports: { id: string; onto: string; off: number }[];
	ports_off: number;
}

export interface PlanOpening {
	id: string;
	port: string;
	off?: number | null;
	shadow?: number; // how far it stands into the port
	shadow_at?: OnFace | null;
	shadow_area?: number;
	clear?: number;
	beyond?: number;
	loop: Corner[];
}

/** A bought or drawn flange or a gasket, laid on the head; how is missing where it cannot be. */
export interface PlanPattern extends Partial<Laid>, Partial<Fits> {
	id: string;
	what: string;
	name: string;
	worst_bolt?: string;
	loop: Corner[];
	holes: {
		id: string;
		at: OnFace;
		diameter: number;
		bolt: string;
		miss?: number | null;
		off?: OnFace | null;
		room?: number | null;
	}[];
	openings: PlanOpening[];
	unmatched: string[];
	why: string;
	disputed: string[];
}

/** Where least metal or room is left, of one or between two. */
export interface Least {
	value: number;
	at?: string;
	between?: string[];
	place: OnFace;
}

/** The flange that is made. */
export interface PlanDesign {
	revision: string;
	pieces: { loop: Corner[]; ports: string[]; bolts: string[] }[];
	overlaps: { ports: [string, string]; by: number }[];
	openings: { port: string; loop: Corner[]; from: string }[];
	holes: {
		bolt: string;
		at: OnFace;
		diameter: number;
		slot: number;
		dir: OnFace;
		growth: number;
		rule: string;
	}[];
	cuts: { from: OnFace; to: OnFace; between: [string, string]; bridge: number; web: number }[];
	edge_least: Least | null;
	web_least: Least | null;
	washer_least: Least | null;
	socket_least: Least | null;
	thickness: number;
	area: number;
	mass_kg: number | null;
	density: number | null;
	growth_mm: number;
	disputed: string[];
}

/** The end of a tube, formed to its port. */
export interface PlanEnd {
	tube: string;
	port: string;
	perimeter_port: number;
	perimeter_tube: number;
	stretch_percent: number;
	strain_percent: number;
	die: { loop: Corner[]; perimeter: number; clearance: number } | null;
	loft: {
		length: number;
		areas: [number, number][];
		least: number;
		greatest: number;
		wall_angle: number;
		wall_at: OnFace;
		volume: number;
	} | null;
	template: { exact: boolean; error: number; good: boolean } | null;
	why: string;
	disputed: string[];
}

export interface PlanFlange {
	bank: string;
	placed?: Placed | null;
	ports: PlanPort[];
	self_match?: SelfMatch[];
	suspect?: { bolt: string; off: number } | null;
	self_disputed?: string[];
	patterns?: PlanPattern[];
	design?: PlanDesign | null; // null until thickness, bolts and ports are there
	ends?: PlanEnd[];
}

export interface Plan {
	tubes?: PlanTube[];
	spread?: number | null;
	flanges?: PlanFlange[];
	collectors?: PlanCollector[];
	points?: PlanPoint[];
	neighbours?: PlanNeighbour[];
	gaps?: PlanGap[];
	frames?: PlanFrame[];
	access?: Access[];
	findings?: Finding[];
	[more: string]: unknown;
}

/** The calculation's answer for the open job. */
export interface JobView {
	job: string;
	hash: string; // of the records it was worked out from
	stale: boolean; // a record came after it was asked for: show it as being worked out again
	slots: Record<string, SlotView>;
	notes: Record<string, NoteView>;
	lists: Record<string, ListItem[]>;
	todo: Todo[];
	faults: Fault[];
	plan: Plan;
}

/** A line of the job list. The counts are null while they are not worked out. */
export interface JobSummary {
	id: string;
	name: string;
	stage: string;
	blocked: string;
	due: string;
	disputed: number | null;
	missing: number | null;
	stops: number | null;
	warnings: number | null;
	changed: string; // hlc of the latest record
}

export interface Route {
	screen: string; // jobs, job, intake, bank, tube, result, measure, choose, saved, list…
	job?: string;
	slot?: string;
	id?: string;
}

/** An open form. Its record id is made when it opens, so that any number of taps makes one record. */
export interface Form {
	id: string; // of the reading that keeping this form makes
	name: string; // to which photos taken for it hang; the id, but for a form that is gone on with
	choice: string; // of the choice that choosing on this form makes
	key: string; // draft key
	job: string;
	slot: string;
	over: string[]; // heads shown when it opened
	seen: string[]; // everything on the table then, put aside or not
	choices: string[]; // choices standing then
	draft: string; // half-typed text of an earlier opening, "" when there is none
}

export interface Status {
	link: "live" | "sync" | "offline" | "other"; // other: another window of this tablet sends
	unsent: number;
	oldestUnsent: number | null; // ms since 1970
	shopHeard: number | null; // ms since 1970
	clockOffsetMs: number | null; // shop minus tablet
	persisted: boolean | null; // null: the browser does not say
	storage: "ok" | "failing" | "waiting"; // waiting: for another window, which storageError names
	storageError: string;
	isPlainTab: boolean; // a tablet's browser shows the app in a tab, which it clears after seven days
	room: { usage: number; quota: number } | null; // bytes; null: the browser does not say
	hasSpare: boolean; // there is room set aside for readings; without it no photo is taken
	lost: Lost | null; // records that this tablet held and found gone
	aside: Aside[]; // records that the shop did not take
	notice: string; // one sentence about the link, "" when there is nothing to say
	build: string;
	update: boolean;
}

/** Records that were gone when the app was opened. */
export interface Lost {
	gone: number; // of them not back
	back: number; // of them came back from the shop
	isLooking: boolean; // the shop's log is being read again
}

/** A record that the shop set aside or refused; it stays on this tablet. */
export interface Aside {
	id: string;
	why: string; // "" when the shop holds another record under the same id
}

export type Where = "tablet" | "shop" | "backed";

/** A half-typed text, with the name of the form it is typed into. */
export interface Draft {
	key: string;
	text: string;
	id: string; // name of its form; "" for a text that is no form's
	at: number; // ms since 1970
}

// Words of the flange, measured outlines, and what is compared with the head, which are
// fetched when first wanted.

import { plural } from "./text";

export const flange = {
	title: (bank: string) => `Flange of ${bank}`,
	other: (bank: string) => `${bank} ▸`,
	notYet: "The flange is drawn once thickness, bolts and ports of the bank are measured.",
	bank: "bank ▸",
	measure: "measure the bank ▸",
	sheets: "sheets ▸",

	side: {
		legend: "Seen from",
		tubes: "from the tubes",
		head: "from the head side",
		in: {
			tubes: "SEEN FROM THE TUBES",
			head: "SEEN FROM THE HEAD SIDE (mirrored)",
		},
		drawing: {
			tubes: "Drawing of the flange, seen from the tubes: x to the right, y up",
			head: "Drawing of the flange, seen from the head side: x to the left, y up",
		},
		say: {
			tubes: "x to the right, y up, as facing the port face",
			head: "left and right change places: x to the left, y up, as on the gasket face",
		},
	},

	legend: {
		plate: "flange: edge, holes, openings",
		bolts: "bolt holes of the head",
		port: "port in the head",
		cut: "saw cut",
		over: {
			way: "the flange, the other way round",
			pattern: "what is compared",
		},
		arrow: (times: number) =>
			times === 1 ? "how far off, true to scale" : `how far off, drawn ${times} times as long`,
		shadow: "covered part of a port",
	},

	way: {
		title: "Which way round",
		one: "It bolts up in one way only.",
		few: "Two bolts are needed to tell.",
		goIn: (room: string) => `The bolts go in, with ${room} of play left on each side at the tightest.`,
		goNot: (lack: string) => `The bolts do not go in: they lack ${lack} on each side.`,
		goWith: (play: string) =>
			`With ${play} of play on each side the bolts go in. Enter the bolt size; then it is told whether they have that.`,
		ports: (port: string, onto: string, off: string) =>
			port === onto ? `${port} is then ${off} off.` : `${port} then lies on ${onto} and is ${off} off.`,
		alike: "Its ports fit then as well.",
		odd: (bolt: string, mate: string, off: string) =>
			`${orMate(bolt, mate)} is off by ${off}; all others lie on each other.`,
		farthest: (bolt: string, mate: string, off: string) =>
			`Farthest off is ${orMate(bolt, mate)}, by ${off}.`,
		show: "lay it over the drawing",
		hide: "take it off the drawing",
		markSide: "Mark the side that faces the tubes on the plate itself before anything is tacked.",
	},

	ports: {
		title: "Ports",
		head: { port: "port", area: "area", perimeter: "perimeter", dh: "Dh", round: "round tube, bore" },
		hint: "Dh: 4 · area / perimeter. Round tube: bore of equal perimeter, to which a tube can be formed without stretching.",
		mm2: "mm²",
		cm2: "in²",
		go: (n: number) => `outline points (${n})`,
	},

	making: {
		title: "How it is made",
		why: "What is left open is taken as it says under it.",
	},

	design: {
		title: "The flange in figures",
		revision: (letter: string) => (letter === "" ? "no revision letter yet" : `revision ${letter}`),
		what: "what",
		figure: "figure",
		where: "where",
		edge: "least metal from a hole to the edge",
		web: "least metal between holes and openings",
		washer: "room of a washer, least",
		socket: "room of a socket, least",
		mass: "mass",
		massOf: (kg: string) => `${kg} kg`,
		noMass: "not known for this material",
		growth: "growth when hot, farthest hole",
		thickness: "thickness",
		density: (d: string) => `at ${d} kg/m³`,
		between: (a: string, b: string) => `between ${a} and ${b}`,
		at: (a: string) => `at ${a}`,
		plates: (n: number) => plural(n, "plate", "plates"),
		lacks: "too little",
		overlaps: (a: string, b: string, by: string) =>
			`The plates of ${a} and ${b} want the same metal: they overlap by ${by}.`,
		holes: "Holes",
		bolt: "bolt",
		diameter: "diameter",
		slot: "slot, over all",
		turned: "turned, °",
		grows: "grows by",
		round: "round",
		rule: (rule: string) => `Holes: ${rule}.`,
		cuts: "Saw cuts",
		cut: "between",
		bridge: "metal left at its end",
		beside: "metal beside it",
	},

	ends: {
		title: "Tube ends",
		none: "No tube with OD and wall starts at a measured port yet.",
		of: (tube: string, port: string) => `${tube} to ${port}`,
		stretch: "stretch",
		stretchSay: (p: string) => (p.startsWith("−") ? `${p} %: it is gathered in` : `${p} %`),
		strain: (p: string) => `logarithmic strain ${p} %`,
		die: "die, perimeter",
		clearance: (c: string) => `${c} smaller than the flange's opening, all round`,
		wall: "steepest wall",
		wallAt: (x: string, y: string) => `where x is ${x} and y ${y} from the port's centre`,
		length: "formed over",
		assumed: "as long as its OD, since no length is entered",
		set: "length of the formed end",
		areas: "Area along the transition",
		areasAria: (from: string, to: string, least: string, greatest: string) =>
			`Area along the transition: ${from} at the port, ${to} at the round tube; least ${least}, greatest ${greatest}`,
		fromPort: "from the port",
		area: "area",
		port: "port",
		tube: "tube",
		least: "least",
		greatest: "greatest",
		figures: "figures",
		narrow: (p: string) => `It is ${p} % narrower on the way than at its narrower end.`,
		exact: "Laid flat it can be cut out of sheet: it needs no crease.",
		flat: (e: string) => `Laid flat it would have to shrink by ${e}; it can still be cut out of sheet.`,
		notFlat: (e: string) =>
			`It does not lie flat: it would have to shrink by ${e}. Form it, do not cut it out of sheet.`,
	},

	patterns: {
		title: "Flanges and gaskets to compare",
		why: "A bought flange, a gasket or a drawing, with measures of its own, is laid over the head.",
		none: "Nothing to compare yet.",
		add: "add one by hand",
		readDXF: "read a DXF in",
		fits: "the bolts go in",
		fitsNot: "does not go on",
		playFor: (play: string) => `needs ${play} of play`,
		shadow: (d: string) => `stands ${d} into a port`,
		off: (hole: string, by: string) => `${hole} is ${by} off`,
		lacks: (n: number) => `no hole for ${plural(n, "bolt", "bolts")}`,
		notLaid: "not laid on yet",
	},

	pattern: {
		title: "Laid over the head",
		cannot: (why: string) => `It cannot be laid over the head yet: ${why}.`,
		measured: {
			tubes: "It was measured from the tubes' side.",
			head: "It was measured from the head side, so left and right change places here.",
			"": "From which side it was measured is not said; it is laid the way that fits better.",
		} as Record<string, string>,
		lies: (how: string) => `It lies on the head ${how}.`,
		asItLies: "as it was measured",
		holes: "Its holes on the bolts",
		hole: "hole",
		bolt: "bolt",
		miss: "off by",
		dir: "where to",
		room: "play left",
		right: (by: string) => `${by} right`,
		left: (by: string) => `${by} left`,
		up: (by: string) => `${by} up`,
		down: (by: string) => `${by} down`,
		onIt: "on it",
		noMate: "no bolt",
		roomHint:
			"Off by and where to: from where the hole belongs, seen from the tubes. Play left: on each side of the bolt once all of them sit at best.",
		noRoom: "Enter the bolt size; then the play is told.",
		openings: "Its openings over the ports",
		opening: "opening",
		port: "port",
		shadow: "stands into it",
		covers: "covers",
		clear: "clear all round",
		beyond: "beyond, at most",
		unmatched: (names: string) => `Without a mate: ${names}.`,
		standing: { in: "stands into the port", clear: "clear" },
		spots: (n: number) => `outline points, ${n} of 16`,
	},

	rim: {
		title: (of: string) => `Outline of ${of}`,
		point: (n: number, axis: string) => `Point ${n}, ${axis}`,
		of: (n: number) => (n < 16 ? `${n} of 16` : plural(n, "point", "points")),
		nextY: "next: y ▸",
		nextPoint: "next point ▸",
		look: "look",
		more: (n: number) => `point ${n} ▸`,
		done: "done",
		drawing: (of: string) => `Points and outline of ${of}, from its centre, x to the right, y up`,
		least: (n: number) =>
			`${plural(n, "more point", "more points")} until there is an outline; 8 are the least.`,
		cost: (n: number, area: string, perimeter: string) =>
			`${plural(n, "point", "points")}: area to ${area} %, perimeter to ${perimeter} %.`,
		more16: "16 or more are asked for.",
		noPlace:
			"The points are joined by straight lines until the outline is worked out; it needs the port's own place too.",
		wrong: "The points make no outline: two of them lie together, or it crosses itself. Look at their order.",
		saved: (n: number, axis: string, value: string) => `Point ${n}, ${axis} ${value}`,
		list: "Points, in order round it",
		used: "What was measured is used.",
		notUsed: "These points are kept; the outline is drawn by its dimensions.",
	},

	fit: {
		offer: (shape: string, worst: string) => `All points lie within ${worst} of ${shape}.`,
		worstAt: (n: number) => `Point ${n} is farthest off.`,
		shift: (by: string) => `Its centre lies ${by} from where the port's was taken, and moves with it.`,
		use: "use the shape",
		using: (shape: string) => `The fitted shape is in use: ${shape}.`,
		back: "back to the points",
		kept: "the shape is used; the points are kept",
		gone: "the points are used again",
		both: "A person decides; both are kept.",
		shapes: {
			round: (d: Dims) => `a circle ${d("diameter")}`,
			rectangle: (d: Dims) => `a rectangle ${d("width")} × ${d("height")}, corner ${d("corner")}`,
			stadium: (d: Dims) => `a stadium ${d("width")} × ${d("height")}`,
			oval: (d: Dims) => `an oval ${d("width")} × ${d("height")}`,
			d: (d: Dims) => `a D of radius ${d("radius")}, flat at ${d("flat")}, corner ${d("corner")}`,
		} as Record<string, ((d: Dims) => string) | undefined>,
		turned: (by: string) => `, turned by ${by}`,
		line: "fitted shape",
	},

	caution:
		"Cut edges are sharp: gloves for handling, never at a turning tool; file or grind the edge off first. Clamp the plate. Dust of grinding belongs out of the air, not into the lungs.",
};

const orMate = (bolt: string, mate: string) => (mate === "" ? bolt : `${bolt} or its mate ${mate}`);

type Dims = (name: string) => string;

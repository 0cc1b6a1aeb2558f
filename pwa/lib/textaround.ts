// Words of what is fetched when it is first wanted: collectors and neighbours, mock-ups,
// what the plan says of them, bender data. The rest stands in text.ts.

const plural = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`;

export const around = {
	why: (why: string) => `Not worked out yet: ${why}.`,

	lists: {
		title: "Collector and neighbours",
		why: {
			collector: "What the tubes end in. Its place is in the frame of a bank, or of the car.",
			neighbour: "Everything that a hot tube or a turning engine must not touch.",
			point: "Where no rule reaches: a point taped from three or more bolts whose places are known.",
			tie: "The same points measured from both banks, or from a bank and the car, tie the two together.",
			tool: "Your own sockets, as they have to get onto the bolts past the tubes.",
		} as Record<string, string>,
		none: {
			collector: "No collector yet.",
			neighbour: "No neighbours yet.",
			point: "No taped points yet.",
			tie: "No points of two frames yet.",
			tool: "No tools yet.",
		} as Record<string, string>,
		add: {
			collector: "add collector",
			neighbour: "add neighbour",
			point: "add taped point",
			tie: "add point of two frames",
			tool: "add tool",
			part: "add shape",
			corner: "add point of the sleeve",
			tape: "add tape",
		} as Record<string, string>,
		open: (n: number) => `${n} open`,
		complete: "complete",
		noShape: "no shape yet",
		ofThree: (n: number) => `${n} of 3 tapes`,
	},

	entry: {
		gone: "This is not in the job any more.",
		remove: (what: string) => `remove ${what}`,
		nextTape: "next tape",
		side: "which side",
		tapes: (n: number) =>
			n < 3
				? `${plural(n, "tape", "tapes")}; three fix a point, a fourth shows whether one is wrong`
				: plural(n, "tape", "tapes"),
		sleeve: (n: number) => `points of the sleeve (${n})`,
		noChildren: {
			tape: "No tapes yet.",
			part: "No shape yet. Without one nothing can be said of its gaps.",
			corner: "No points yet. A sleeve is laid through two or more.",
		} as Record<string, string>,
	},

	point: {
		title: "Where it is",
		at: "point",
		inFirst: "in the frame of the first bank",
		sigmas: "uncertain by, 1 sigma",
		sigmaHint: "Two times in three the point lies no farther off along each of the three directions.",
		ellipse: "1 sigma, to scale",
		front: "facing the port face",
		above: "from above",
		residuals: "What the tapes say against it",
		tape: "tape",
		off: "off by",
		suspect: (tape: string, off: string) =>
			`${tape} does not go with the others${off === "" ? "" : `: ${off}`}. Tape it again; until then neither the place nor its ellipse holds.`,
		suspectRow: "does not fit",
		mirror: (at: string) => `Taped from the other side it would be at ${at}.`,
		tooLong: (by: string) => `it is ${by} too long`,
		tooShort: (by: string) => `it is ${by} too short`,
		needs: "Three tapes that are not in one line, and the side, give a place.",
	},

	collector: {
		title: "Sockets",
		socket: "socket",
		tube: "tube",
		free: "no tube",
		offset: "offset",
		aim: "aim off",
		insert: "sits in by",
		hint: "offset: between the axis of the last straight and that of its socket, in the plane of the mouths",
		at: (c: string, n: number) => `${c}, socket ${n}`,
	},

	frames: {
		title: "Frames tied together",
		of: (a: string, b: string) => `${a}, seen from ${b}`,
		car: "the car",
		rms: "points agree to, rms",
		target: (c: string) => `${c} sure to, 1 sigma`,
		tooFar:
			"The points do not fit each other as well as they should: one of them is wrong, or the frames moved.",
		oneMore: (by: string) => `with one more point near it ${by}`,
		tie: "point",
		off: "off by",
	},

	gaps: {
		title: "Gaps",
		none: "No gaps worked out yet.",
		between: (a: string, b: string) => `${a} – ${b}`,
		self: (a: string) => `${a}, against itself`,
		head: { of: "between", gap: "gap", wanted: "wanted", short: "short by", is: "" },
		states: {
			touch: "they touch",
			least: "too small to be cut",
			short: "too small",
			close: "too close to call",
			enough: "enough",
		},
		closeWhy:
			"Too close to call: what the gap and the wanted gap differ by is less than the measurements can tell. Measure closer, or leave more.",
		at: (a: string, b: string) => (b === "" ? `at ${a}` : `at ${a} and ${b}`),
		worst: (c: string) => `worst with ${c}`,
		sigma: (by: string) => `good to ± ${by}, 1 sigma`,
		never: (by: string) => `never below ${by}`,
		hint: "From surface to surface, cold, at the worst of engine roll and of what moves. Places in the frame of the first bank.",
		caution:
			"Steering, brakes and fuel lines are safety items: a person verifies their clearances on the car, lock to lock and with the engine rolled, whatever stands here. Local codes and licensed practice come first.",
		all: (n: number) => `show all ${n}`,
		less: "show the tightest",
	},

	access: {
		title: "Getting at bolts and plugs",
		what: "to reach",
		tool: "with",
		gap: "room left",
		against: "at",
		good: "gets there",
		tight: "gets there, tightly",
		wanted: "wanted",
		bad: "does not get there",
		free: "nothing near",
	},

	levers: {
		title: "What a wrong clock mark does",
		joint: (n: number, piece: string) => (piece === "" ? `joint ${n}` : `joint ${n}, at piece ${piece}`),
		mark: (n: number, by: string) => `joint ${n}: 1 mm of clock mark here moves the end ${by}`,
		head: {
			joint: "joint",
			mark: "end moves, for 1 mm of mark",
			degree: "for 1°",
			bend: "for 1° too far bent",
		},
		first: "Mark and tack the one on top with the most care.",
	},

	socket: {
		title: "At the socket",
	},

	survey: {
		title: "What the mock-up says",
		suspect: (point: number, straight: number, off: string) =>
			`Point ${point} of straight ${straight} stands out: ${off} off what the others say.`,
		tests: (tests: string) => `Found by: ${tests}. Measure this point again while the mock-up is in the car.`,
		clean: "No point stands out.",
		chi: (chi2: string, dof: string) => `chi-square ${chi2} for ${dof} degrees of freedom`,
		chiHint: "About as many as degrees of freedom: the points are as good as stated.",
		chiLimit: (most: string) => `More than ${most} is too much for points as good as stated.`,
		also: (marks: string) => `It may also be ${marks}.`,
		given: (clr: string) => `entered ${clr}`,
		length: "length, with 1 sigma",
		misses: "Where neighbouring straights miss each other",
		missHead: { between: "straights", miss: "miss", sigma: "expected, 1 sigma", is: "" },
		between: (n: number) => `${n} and ${n + 1}`,
		tooMuch: "too much",
		fine: "as expected",
		rows: "Bender data of the mock-up, with 1 sigma",
		crowns: "CLR from the middle of the bend",
		crownHead: { bend: "bend after", clr: "CLR", sigma: "1 sigma", why: "" },
		straight: (n: number) => `straight ${n}`,
		go: "go to the point",
	},

	closing: {
		title: "Adjusted to the socket",
		before: (miss: string, aim: string) => `As entered it misses the socket by ${miss} and aims ${aim} off.`,
		hint: "Each figure moved as far as its own uncertainty lets it, until the end stood in the socket.",
		tooFar:
			"To reach the socket the figures had to move farther than their uncertainties allow: one of them, or the socket's place, is wrong. Measure again before anything is cut.",
		row: "What was entered, and what it became, with 1 sigma",
		head: { bend: "bend", length: "length", rotation: "rotation", angle: "bent through" },
		last: "last",
		sigma: (by: string) => `± ${by}`,
	},

	mockup: {
		title: (tube: string) => `Mock-up of ${tube}`,
		why: "Centre points of the mock-up, in the frame of the tube's bank; three on each straight, as far apart as they go.",
		straight: (n: number) => `Straight ${n}`,
		points: (n: number) => (n < 3 ? `${n} of 3 points` : `${n} points`),
		nextPoint: (n: number) => `next point on straight ${n}`,
		nextStraight: (n: number) => `next straight (${n})`,
		bend: (n: number) => `Bend after straight ${n}`,
		addBend: (n: number) => `enter the CLR of the bend after straight ${n}`,
		suspect: "stands out",
		first: "first point on straight 1",
	},

	bender: {
		title: (tube: string) => `Bender data of ${tube}`,
		section: (od: string, wall: string, material: string) =>
			`OD ${od}, wall ${wall}${material === "" ? "" : `, ${material}`}`,
		signs: "How to read it",
		conventions: [
			"Length: the straight before the bend, from tangent point to tangent point, on the centreline. The first starts at the port face; the last has no bend behind it.",
			"Rotation: how far the tube is turned about its own axis before the bend. Looking along the tube in the direction of travel, from the port on, clockwise is plus. 0° bends on the same way as the bend before, 180° the other way. For the first bend it counts from the bank's up.",
			"Angle: how far the tube turns in the bend; 180° is a U. Spring-back is not added.",
			"CLR: centreline radius.",
			"A machine that counts rotation the other way round wants the signs changed: bend one piece of scrap first.",
		],
		xyz: "Points: where the centrelines of neighbouring straights meet, in the frame of the tube's bank: x right, y up, z out of the head, seen facing the port face. A bend over 150° has two.",
		print: "print",
		lra: "bender data as CSV",
		points: "points as CSV",
		none: "There is no path to write down yet.",
		held: "Figures of this tube rest on readings in dispute. Choose first; nothing is handed to a machine before.",
		cut: "A person checks before metal is bent.",
		made: (name: string) => name,
		import: "Take points from a CSV",
		importWhy:
			"One line a point, from the port on: point, x, y, z, and the CLR at each corner if the file has it. Nothing is kept before you have seen the path.",
		choose: "choose a file",
		paste: "or paste its text here",
		clr: "CLR where the file has none",
		unit: "Figures without a unit are in",
		look: "show the path",
		looking: "being worked out",
		preview: "What this makes",
		readPoints: (n: number) => plural(n, "point", "points"),
		length: "length from the port face",
		start: (by: string) => `The first point lies ${by} from the port's centre.`,
		aim: (by: string) => `The first straight leaves ${by} off the port's aim.`,
		shift: "The path keeps its shape and is put to the port; its end is then not where the file has it.",
		fits: "It starts at the port and leaves along its aim.",
		noPort: "The port of this tube has no place yet, so the path is not compared with it.",
		keep: (n: number) => `keep as path: ${plural(n, "piece", "pieces")}`,
		replace: (n: number) =>
			`in place of ${plural(n, "piece", "pieces")} there now, which can be brought back`,
		kept: (n: number) => `${plural(n, "piece", "pieces")} taken from points`,
		straight: "straight",
		bend: "bend",
		tooLarge: "This file is larger than 200 kB; a list of points is not.",
		unread: (why: string) => `The file could not be read: ${why}`,
	},
};

// Words of the stock on the rack, and of the plan by which it is cut.

import { plural } from "./text";

export const stock = {
	title: "Stock",
	why: "What the shop cuts from, for every job. Bends of one CLR are used for pieces of that CLR only.",
	none: "No stock yet. Enter the bends and lengths that the shop buys, each once, with its price; then what is on the rack.",
	ownTitle: "Stock of this job alone",
	add: { bend: "add bend", length: "add length", elbow: "add elbow" },
	head: { item: "item", angle: "angle", clr: "CLR or length", left: "left", price: "price" },
	section: (od: string, wall: string) => `OD ${od} × ${wall}`,
	legs: (legs: string) => `legs ${legs}`,
	offcut: "off-cut",
	leftHint: "left: counted on the rack, less what was taken since.",
	caution: "Lengths fall and roll: carry long tube with two, and mind its ends.",
};

export const cuts = {
	title: "Plan of cuts",
	hint: "what to buy, marks for the saw",
	why: "From which stock each piece is cut that is not cut yet: the least to buy, then the fewest welds.",
	none: "Nothing to cut: no piece is laid out, or all are cut.",
	cost: "to buy",
	nothingToBuy: "nothing to buy",
	optimal: "No plan is cheaper.",
	gap: (percent: string) => `The best that was found; none is more than ${percent} cheaper.`,
	welds: (n: number) => plural(n, "weld", "welds"),
	fewest: "No plan as cheap has fewer.",
	buyTitle: "Buy",
	buyHead: { item: "item", count: "how many", cost: "cost" },
	fromRack: "from the rack",
	bought: "bought",
	piece: "piece",
	marks: { from: "first face", to: "last face", outside: "outside", inside: "inside", angle: "at" },
	marksHint:
		"Marks are laid along the outside and the inside of the bend from the tangent line at end A, with kerf and dressing between pieces.",
	marksHintStraight: "Marks are laid from end A, with kerf between pieces.",
	flipped: "other way round",
	leg: (piece: string) => `with its leg as ${piece}`,
	left: (what: string) => `left over: ${what}`,
	kept: "back to stock",
	scrap: "scrap",
	legs: (a: string, b: string) => `legs ${a} and ${b}`,
	outTitle: "Not in the plan",
	splitTitle: "Made of two",
	split: (piece: string, parts: string) => `${piece}: ${parts}, with a weld between them`,
	second: (n: number) => `set ${n}`,
	sheet: "sheets of the cuts",
	stock: "stock",
	sawn: "sawn as planned",
	sawnSaid: (bar: string) => `${bar}: sawn. Its pieces are cut, the rack has one less.`,
	sawnHint:
		"Marks its pieces as cut, takes one off the rack, and puts back what is left. Then measure each piece.",
	stopped: "Stopped before all was tried: the best until then.",
};

// Words of what fills a part of a tube from stock.

import { plural } from "./text";

export const filling = {
	title: (tube: string) => `Closing piece, ${tube}`,
	why: "What to cut from stock so that a tube closes between two joints: up to two bends and three straights. Every answer was walked piece by piece.",
	from: "From",
	to: "To",
	flange: "the flange",
	behind: (piece: string) => `behind ${piece}`,
	before: (piece: string) => `before ${piece}`,
	end: "the end",
	allTacked: "All pieces of this tube are tacked: nothing can be put in their place.",
	apart: (apart: string, aside: string) => `${apart} apart, directions ${aside} apart`,
	held: {
		socket: "held against the socket",
		plan: "held against the path as planned: the tube has no socket yet",
		joint: "the pieces behind it stay, set so that the tube ends where it has to",
	},
	replaces: (pieces: string) => `In the place of ${pieces}.`,
	lengthOpen: "None has the length that is wanted. These are without it.",
	way: (n: number) => `Way ${n}`,
	best: "None closes. This comes nearest",
	welds: (n: number) => plural(n, "weld", "welds"),
	piece: (n: string) => `new ${n}`,
	straight: (l: string) => `straight ${l}`,
	onLeg: "a leg of the bend beside it that stays on",
	bend: (a: string, clr: string, clock: string, arc: string) =>
		`bend ${a}, CLR ${clr}, clocked ${clock}, clock arc ${arc}`,
	next: (piece: string, clock: string, arc: string) =>
		`bend ${piece} behind it is then clocked ${clock}, clock arc ${arc}`,
	cost: "to buy",
	cutFrom: "Cut from",
	cutAlone:
		"As if nothing else were cut: once it is in the plan, the plan of cuts shares the rack with all pieces.",
	none: (why: string) => `Nothing found: ${why}.`,
	clr: (clr: string) => `A CLR of ${clr} would do.`,
	rejected: "Would close, and touches something",
	take: "put it into the plan",
	takes: (n: number, pieces: string) =>
		pieces === ""
			? `Puts ${plural(n, "piece", "pieces")} into the path of the tube.`
			: `Takes ${pieces} out of the path and puts ${plural(n, "piece", "pieces")} there. What was measured of them goes with them.`,
	confirm: "yes, change the plan",
	leave: "leave it",
	taken: "The closing piece stands in the plan.",
};

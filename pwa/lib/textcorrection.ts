// Words of a correction.

import { plural } from "./text";

export const correction = {
	title: (tube: string) => `Correction, ${tube}`,
	why: "The least that has to be changed of what is not tacked, so that the tube ends where it has to. Every answer was walked piece by piece.",
	closes: "It meets its end as it is: nothing has to be changed.",
	nothing: "Nothing is cut of this tube yet.",
	asIs: (miss: string, aim: string) => `As made it ends ${miss} off, aim ${aim} off.`,
	touches: (why: string) => `It meets its end as made, and cannot stay so: ${why}`,
	around:
		"What asks for little touches something, so these lie farther from the tube as it is. There may be others.",
	answer: (n: number) => (n === 1 ? "Least to do" : `Another way, ${n}`),
	nearest: "Nothing brings it there. This comes nearest",
	head: {
		miss: "end off by",
		aim: "aim off by",
		length: "centreline",
		longer: "longer by",
		likely: "comes within tolerance",
	},
	sure: (miss: string, aim: string) =>
		`± ${miss} and ± ${aim} (1 sigma) by what is still to be cut and tacked`,
	hardly: "less than 1 %",
	likely: (p: string) => `in ${p} of cases`,
	welds: (n: number) => plural(n, "more weld", "more welds"),
	fixture: (joints: string, p: string) => `With ${joints} set in the fixture: ${p}.`,
	joint: (n: number, before: string, after: string) => `joint ${n}, between ${before} and ${after}`,
	flange: "the flange",
	socket: "the socket",
	turn: (joint: string, by: string, arc: string) => `Turn ${joint}, by ${by}: ${arc} along the OD`,
	clock: (piece: string, clock: string, arc: string) =>
		`bend ${piece} is then clocked ${clock}, clock arc ${arc}`,
	cut: (piece: string, to: string, by: string) => `Cut ${piece} to ${to} (${by})`,
	trim: (piece: string, to: string, by: string) => `Trim ${piece} to ${to} (${by})`,
	anew: (piece: string, to: string, by: string) => `Cut ${piece} anew from stock, at ${to} (${by})`,
	next: (piece: string, clock: string, arc: string) =>
		`bend ${piece} is then clocked ${clock} from the new one, clock arc ${arc}`,
	recut: (piece: string, to: string, by: string) => `Cut ${piece} again, to ${to} (${by})`,
	marks: (outside: string, inside: string) => `outside ${outside}, inside ${inside}`,
	newStraight: (joint: string, l: string) => `Weld a straight of ${l} into ${joint}`,
	newBend: (joint: string, a: string, clr: string, clock: string) =>
		`Weld a bend of ${a}, CLR ${clr}, clocked ${clock}, into ${joint}`,
	signs:
		"Turns are right-hand about the flow: clockwise, seen from the port along the tube. Marks are of the finished piece, net.",
	gap: (a: string, b: string, gap: string, wanted: string) => `${a} – ${b}: ${gap} of air, ${wanted} wanted`,
	gapsOk: "All gaps are as wanted.",
	rejected: "Would close, and cannot be",
	needs: "What would close it",
	move: (by: string, x: string, y: string, z: string) =>
		`The socket ${by} elsewhere: ${x} right, ${y} up, ${z} out`,
	tilt: (a: string) => `tilted by ${a}`,
	clr: (piece: string, clr: string) => `Piece ${piece} of CLR ${clr}`,
	incomplete: "Not everything was tried: a smaller change may exist.",
	take: "put it into the plan",
	taken: "The correction stands in the plan.",
	takeHint:
		"The figures of the plan change; cut lists and marks follow. What is cut again is to be measured again.",
	anewHint: (pieces: string) =>
		`${pieces} counts as not cut again, with what was measured of it: it is in the plan of cuts again. Put the old one aside.`,
	byHand: "This adds a piece: lay it out in the path of the tube.",
	print: "print",
	printed: "Correction",
};

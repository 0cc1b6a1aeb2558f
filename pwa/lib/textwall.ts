// Words of the wall board.

import { plural } from "./text";

export const wall = {
	title: "Wall board",
	grey: (at: string) => `not live since ${at}`,
	waiting: "waiting for the shop",
	copied: (n: number) => `${plural(n, "tablet", "tablets")} copied? See the shop machine.`,
	pairing: "pairing this wall board",
	notPaired: (why: string) => `This wall board is not paired. ${why}`,
	needsCode: "On the shop machine make a code for a wall board.",
	revoked:
		"This wall board was taken off the shop's list. On the shop machine make a new code for a wall board.",
	code: "Type the code that the shop machine shows",
	failed: (what: string) =>
		`The test before pairing failed: ${what}. Trust the shop's certificate on this machine first.`,
	noJobs: "No jobs.",
	blocked: (what: string) => `blocked by: ${what}`,
	free: "nothing blocks it",
	disputed: (n: number) => `${n} disputed`,
	stops: (n: number) => plural(n, "stop", "stops"),
	warnings: (n: number) => plural(n, "warning", "warnings"),
	missing: (n: number) => `${n} missing`,
	clear: "nothing open",
	decided: (od: string, wall: string, length: string, from: string) =>
		`size decided: ${od} × ${wall}, ${length} from ${from}`,
	notCut: (n: number) => `${n} not cut`,
	piece: (name: string, stage: string) => `${name} ${stage === "" ? "not cut" : stage}`,
	pieces: (all: number, stages: string[]) => `${plural(all, "piece", "pieces")}: ${stages.join(" · ")}`,
	changed: (age: string) => `changed ${age}`,
	tablets: "Tablets",
	heard: "heard now",
	lastHeard: (at: string) => `last heard ${at}`,
	unsent: (n: number) => `${n} on it only`,
	clockOff: (min: number) => `clock ${Math.abs(min)} min ${min > 0 ? "fast" : "slow"}`,
	noTabletName: "tablet without a name",
	moreTablets: (n: number) => `and ${n} more`,
	aside: (n: number) =>
		`${plural(n, "entry", "entries")} set aside for a person to look at, on the shop machine.`,
	noTablets: "no tablet heard yet",
	noName: "job without a name",
	page: (n: number, of: number) => `page ${n} of ${of}`,
};

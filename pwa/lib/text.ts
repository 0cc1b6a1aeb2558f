// Words that every screen shares, those of the list of jobs and of a job's front page. Words
// of one subject stand in text….ts beside it, so that they stay the same everywhere and can be
// read through in one go; labels, help and ranges of fields are in schema.json.

/** plural chooses between "1 bolt" and "2 bolts". */
export function plural(n: number, one: string, many: string): string {
	return `${n} ${n === 1 ? one : many}`;
}

export const text = {
	back: "back",
	keep: "KEEP",
	cancel: "leave as it was",
	undo: "undo",
	seen: "understood",
	none: "–",
	loading: "reading what is on this tablet",

	status: {
		tabletOnly: (n: number) => `${plural(n, "entry", "entries")} on this tablet only`,
		photosOnly: (n: number, photos: number) =>
			`${n > 0 ? `${plural(n, "entry", "entries")} and ` : ""}${plural(photos, "photo", "photos")} on this tablet only`,
		allSent: "all in the shop",
		nothingYet: "nothing measured yet",
		shopHeard: (at: string) => `shop heard ${at}`,
		shopNever: "shop not heard yet",
		notPaired: "not paired",
		revoked: "off the shop's list",
		link: { live: "live", sync: "sending", offline: "offline", other: "another window sends" },
		notSaved: "NOT SAVED",
		notSavedWhy:
			"This tablet could not write. What you typed stays in the field: write it on paper too, save everything to a file, load again.",
		notOpenWhy: (why: string) => `This tablet's storage did not open: ${why}`,
		retry: "load again",
		calcBusy: "working it out",
		notLoaded: (why: string) => `This page could not be loaded: ${why}. Load the app again.`,
		calcError: (why: string) => `Figures are not up to date: ${why}. Entry goes on.`,
		clock: (minutes: number) =>
			`This tablet's clock is ${plural(Math.abs(minutes), "minute", "minutes")} ${minutes > 0 ? "ahead of" : "behind"} the shop. No value is decided by time; only the history order can look odd.`,
		oldUnsent: (age: string) => `oldest waits ${age}`,
		notKept: "storage not kept for sure",
		full: "This tablet's storage is full: no more photos are taken, readings are still saved. Send what is unsent to the shop, or take files off the tablet.",
	},

	lost: (gone: number, back: number, isLooking: boolean) => {
		const were = `${plural(gone + back, "entry that was on this tablet is", "entries that were on this tablet are")} gone from its storage`;
		const came =
			back === 0 ? "" : gone === 0 ? " All came back from the shop." : ` ${back} came back from the shop.`;
		if (gone === 0)
			return `${plural(back, "entry that was on this tablet was", "entries that were on this tablet were")} gone from its storage.${came}`;
		if (isLooking) return `${were}; the shop is asked for them.${came}`;
		return `${were}.${came} ${gone} had not reached the shop: look through what you measured last and measure again what is missing.`;
	},

	tab: {
		warning:
			"Browser tab: cleared after seven days without a visit. Put the app on the home screen from the browser's menu.",
	},

	mark: {
		missing: "missing",
		agreed: "agreed",
		disputed: "disputed",
		chosen: "chosen",
		stop: "stop",
		warn: "warn",
		note: "note",
	},

	where: {
		tablet: "on this tablet only",
		shop: "in the shop",
		backed: "backed up",
	},

	person: {
		title: "Who measures?",
		why: "Your name goes with every reading, so that others can ask you.",
		label: "Your name",
		device: (isShop: boolean) => (isShop ? "Name of this machine" : "Name of this tablet"),
		deviceDefault: (isShop: boolean) => (isShop ? "shop machine" : "tablet"),
		go: "go on",
	},

	jobs: {
		title: "Jobs",
		create: "new job",
		name: "Name of the new job",
		namePlaceholder: "what the shop calls it",
		start: "start",
		never: "leave it",
		empty: "No jobs on this tablet yet. Start one, or wait for the shop to send them.",
		due: (d: string) => `due ${d}`,
		noStage: "no stage yet",
		noName: "job without a name",
		blocked: (what: string) => `blocked by: ${what}`,
		disputed: (n: number) => `${n} disputed`,
		stops: (n: number) => plural(n, "stop", "stops"),
		warnings: (n: number) => plural(n, "warning", "warnings"),
		missing: (n: number) => `${n} missing`,
		clear: "nothing open",
	},

	job: {
		stage: "Stage",
		pickStage: "change stage",
		blockedBy: "blocked by",
		toMeasure: (n: number) => `${n} to measure`,
		allMeasured: "all measured",
		goOn: "go on",
		entries: (kind: string, there: string) => `${kind}: ${there}`,
		list: "list",
		disputed: (n: number) => `${n} disputed`,
		choose: "choose",
		stops: (n: number) => plural(n, "stop", "stops"),
		warnings: (n: number) => plural(n, "warning", "warnings"),
		look: "look",
		steps: "Steps",
		stepIntake: "Intake",
		stepMeasure: "Measure",
		stepAround: "Collector and neighbours",
		stepSizing: "Sizing and pairing",
		sizeDecided: (od: string, wall: string) => `decided: ${od} × ${wall}`,
		notDecided: "not decided",
		stepLayout: "Layout",
		nothingAround: "none entered yet",
		stepResult: "Result and cut list",
		stepBench: "Bench",
		fixture: {
			title: "Fixture",
			none: "no stations yet",
			checked: (n: number, of: number) => `${n} of ${of} clamp marks checked`,
		},
		weld: {
			title: "Weld",
			held: (n: number, of: number) => `${n} of ${of} hold points passed`,
			failed: (what: string) => `failed: ${what}`,
		},
		inspect: {
			title: "Inspect",
			none: "nothing to read yet",
			read: (n: number, of: number) => `${n} of ${of} read`,
		},
		cutOf: (n: number, of: number) => `${n} of ${of} cut`,
		open: (n: number) => `${n} open`,
		done: "complete",
		tubes: (n: number) => plural(n, "tube", "tubes"),
		noTubes: "no tubes yet",
		cannotYet: "not all there yet",
	},

	intake: {
		title: "Intake",
		notes: "Job",
		due: "Due (year-month-day)",
		badDate: (typed: string) =>
			`Due: cannot read "${typed}" as a date; write year-month-day, for example 2027-04-01.`,
	},

	list: {
		todo: "To measure",
		none: "Nothing is left to measure.",
	},

	caution: {
		start: "Computed values are starting values; a person checks before metal is cut.",
		cutting:
			"Cutting and grinding: guard on, eyes, ears and lungs covered, sparks away from fuel and people; stainless dust and fume hold chromium(VI) (29 CFR 1910.1026). Local codes and licensed practice come first.",
	},

	age: {
		now: "now",
		seconds: (n: number) => `${n} s ago`,
		minutes: (n: number) => `${n} min ago`,
		hours: (n: number) => `${n} h ago`,
		days: (n: number) => `${plural(n, "day", "days")} ago`,
		forMinutes: (n: number) => `${n} min`,
		forHours: (n: number) => `${n} h`,
		forDays: (n: number) => plural(n, "day", "days"),
	},
};

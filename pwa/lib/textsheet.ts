// Words of sheets, of their rulers, and of drawings that are read in, which are fetched
// when first wanted.

import { plural } from "./text";

export const sheet = {
	title: "Sheets",
	group: {
		size: "Size and pairing",
		flange: "Flange and ports",
		end: "Tube ends",
		pattern: "Laid over the head",
		cut: "Cutting and marking tubes",
		fixture: "Fixture",
		weld: "Weld",
	},
	asks: {
		title: "Figures of this sheet",
		why: "They stand behind its name on paper. One that is left open is as it says in grey.",
		of: (label: string, unit: string) => (unit === "" ? label : `${label}, ${unit}`),
		range: (low: string, high: string) => `${low} to ${high}`,
		make: "make it with these",
	},
	none: "Enter a bank; the sheets to cut by stand here then.",
	working: "The sheets are being looked through.",
	unmade: (why: string) => `It was not made. ${why}`,
	cannot: (why: string) => `The sheets could not be made: ${why}`,
	gone: "The job has no such sheet any more.",
	read: "A drawing from elsewhere",
	readWhy: "A supplier's flange or a gasket as DXF is read here, without the shop, and laid over the head.",
	readIn: (bank: string) => `read a DXF in for bank ${bank}`,
	unscaled: "to read",
	sign: (sign: string) => `Sign of what they are made from: ${sign}`,

	look: {
		drawing: (title: string) => `Picture of the sheet: ${title}`,
		whole: "whole",
		large: "large",
		hint: "To look at, not for cutting: no screen is true to scale. What is cut by is the PDF, printed at 1:1.",
		read: "To read, and to work by its figures: nothing on it is true to size.",
		making: "The picture is being made.",
	},

	out: {
		title: "To take along",
		paper: "Paper",
		papers: { a4: "A4", letter: "Letter", a3: "A3", tabloid: "Tabloid" } as Record<string, string>,
		pdf: "PDF, 1:1",
		plain: "PDF",
		plainWhy:
			"The shop machine makes it, on as many pages as it needs. It is to read and to work by its figures: nothing on it is true to size, so it bears no rulers.",
		pdfWhy:
			"The shop machine makes it. Print it from there at 100 % (actual size), never fitted to the page; what is larger than the paper comes on several, with marks to join them.",
		noShop: "The shop machine is not reached, and it makes the PDF. Picture and DXF are made on this tablet.",
		asking: "The shop is making it.",
		dxf: "DXF, mm",
		dxfWhy: "For the cutter. Its name says the size: have the cutter compare before the first cut.",
		svg: "SVG",
		noDXF: "Nothing of this sheet is cut, so it has no DXF.",
		differs:
			"The shop made it from other records than this tablet holds. Wait until everything is sent, then make it again.",
		refused: (why: string) => `The shop did not make it: ${why}`,
		notPDF: "what came is not a whole PDF",
	},

	check: {
		title: "Measured on paper",
		why: "Every printed sheet bears two rulers of 100 mm at right angles. Both are measured before anything is cut by it.",
		bears: (sign: string) => `The sheet must bear the sign ${sign} at its foot.`,
		start: "it is printed: measure the rulers",
		anew: "measure another print",
		half: "go on with the rulers",
		none: "no print measured yet",
		good: "good",
		goodSay: (across: string, up: string) =>
			`Good to cut by: across ${across}, up ${up}, both within 0.2 mm of 100 mm.`,
		by: (who: string, when: string) => (who === "" ? when : `${who}, ${when}`),
		stale: "printed from an older state",
		staleSay: (sign: string) =>
			`It was printed from another state (sign ${sign}). Something has been changed since: make the PDF again, print it and measure that.`,
		bad: "off scale: not good",
		badDo: [
			"In the print dialogue choose 100 % or “actual size”, not “fit” or “shrink”.",
			"Paper in the dialogue and in the printer are the same, and the one chosen here.",
			"If it stays off, print from another viewer or another machine.",
		],
		disputed: "two readings of a ruler: choose",
		waiting: "being worked out",
		ruler: { across: "Ruler across", up: "Ruler up" } as Record<string, string>,
		next: "next: up ▸",
		done: "keep",
		later: "later",
		drawing: "The two rulers of a sheet at right angles; the one to measure is marked",
		of: (key: string) => `Sheet ${key}`,
		howLong:
			"On the paper, from the middle of the first mark to the middle of the last: drawn 100 mm (3.937 in) long.",
	},

	dxf: {
		title: (bank: string) => `Drawing for bank ${bank}`,
		why: "The file is read on this tablet. Nothing is kept before you have looked at it.",
		choose: "choose a DXF",
		other: "choose another DXF",
		tooLarge: (mb: string) =>
			`The file is ${mb} large. A drawing of one flange is below 2 MB: have it sent without other parts.`,
		unread: (why: string) => `The file could not be read: ${why}`,
		again: (name: string) => `go on with ${name}`,
		reading: "The drawing is being read.",
		nothing: "There is no hole, opening or outline in it.",
		unit: "Unit of its figures",
		asUnit: { mm: "mm", in: "inches" } as Record<string, string>,
		wouldBe: (size: string) => `then it is ${size}`,
		size: (size: string, edge: string) => `It is ${size}, ${edge}.`,
		drawing: "What was read, as drawn: outside edge, holes H, openings O",
		edge: { yes: "with its outside edge", no: "without an outside edge" },
		notes: "What else to know of it",
		file: "as the file has it, x to the right, y up",
		layers: (names: string) => `Layers: ${names}`,
		off: "switched off",
		what: "What it is",
		whats: { flange: "flange", gasket: "gasket", drawing: "drawing" } as Record<string, string>,
		name: "What it is called",
		side: "Drawn as seen from",
		sides: { tubes: "the tubes", head: "the head side", "": "not known" } as Record<string, string>,
		roles: "Holes and openings",
		rolesWhy:
			"H and O are the names in the drawing above. Round ones of one size go together; those as large as a port are taken for openings.",
		role: { hole: "bolt holes", opening: "openings", out: "leave out" } as Record<string, string>,
		round: (d: string, n: number) => (n === 1 ? `Ø ${d}, one` : `Ø ${d}, ${n} of them`),
		drawn: (size: string) => `outline ${size}`,
		named: (names: string, what: string) => (names === "" ? what : `${names}: ${what}`),
		to: (first: string, last: string) => `${first} to ${last}`,
		keep: (holes: number, openings: number) =>
			`keep ${plural(holes, "hole", "holes")}, ${plural(openings, "opening", "openings")} ▸`,
		kept: (name: string) => `${name} is laid over the head`,
		say: {
			what: "Say first what it is.",
			side: "Say from which side it was drawn.",
			nothing: "Take at least one hole.",
		},
	},

	caution:
		"Cut edges are sharp: break them before the part is handled. Dust of grinding belongs out of the air.",
};

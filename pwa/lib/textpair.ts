// Words of pairing with the shop, of the test before it, and of a shop that is not reached.

import { plural } from "./text";

export const pair = {
	title: "Pair this tablet",
	why: "The shop lets in only what was paired with it. On the shop machine somebody makes a code; it holds for five minutes and for one tablet.",
	exempt: "This browser runs on the shop machine itself. It is let in without pairing.",
	is: (name: string, role: string) => `Paired as ${name || "a tablet without a name"}, for: ${role || "–"}.`,
	roles: {
		measure: "measuring",
		bench: "measuring and bench",
		board: "wall board",
		admin: "everything",
	} as Record<string, string>,
	/** Why a tablet for measuring is not offered something, by the kind of record that it would make. */
	benchOnly: {
		piece:
			"This tablet is paired for measuring: a tablet for the bench says how far a piece is. To make it one, pair it again with a code for the bench.",
		choice:
			"This tablet is paired for measuring: a tablet for the bench chooses between readings. To make it one, pair it again with a code for the bench.",
		deny: "This tablet is paired for measuring: a tablet for the bench takes photos out for good. To make it one, pair it again with a code for the bench.",
	},
	tab: "This is a browser's tab. On an iPad, put the app on the home screen first and pair there: a tab and the app on the home screen hold nothing in common.",
	barred:
		"The shop does not know this tablet. Measuring goes on and is kept here; nothing is sent until it is paired.",
	barredAgain:
		"The shop does not know this tablet any more. Measuring goes on and is kept here; nothing is sent until it is paired again.",
	revoked: (n: number, left: number, why: string) =>
		`This tablet was taken off the shop's list. It gets nothing new. What it still holds it sends, and the shop puts that aside until somebody there takes it in${n > 0 ? `: ${n} so far` : ""}.${left > 0 ? ` ${plural(left, "entry stays", "entries stay")} on this tablet only: ${why}.` : ""} Nothing here is deleted.`,
	go: "pair it",
	again: "pair again with another code",
	code: "Code from the shop machine",
	codeHint: "8 signs; capitals, gaps and hyphens do not matter",
	notInCode: (signs: string) =>
		`${signs} is in no code: they are made without I, L, O, 0 and 1. Look again at the shop machine.`,
	linked: "The link that opened this page brought the code.",
	typeInstead: "type another code",
	back: "delete last sign",
	claim: "PAIR",
	claiming: "asking the shop",
	testFirst: "First the red lines of the test.",
	testing: "The test is still going on.",
	done: (name: string) => `Paired as ${name || "a tablet without a name"}.`,
	start: "start measuring",
	answered: (code: number) => `The shop answered ${code}.`,
	refused: {
		code: "The shop has no such code open. Compare it sign by sign; after five minutes, or once it was used, it needs a new one.",
		expired: "This code is older than five minutes. Make a new one on the shop machine.",
		used: "This code was used already. Each tablet needs its own; make a new one on the shop machine.",
		many: "Too many wrong codes in the last minute, from this tablet or another. Wait a minute, or open the code as a link with the camera.",
		board: "This code is for a wall board. On the shop machine make one for measuring or for the bench.",
		tablet: "This code is for a tablet. On the shop machine make one for a wall board.",
		wall: "This code is for a wall board and is not used up: type it on the wall.",
		app: "This code is for a tablet and is not used up: type it on the tablet. On the shop machine make one for a wall board.",
		request: "The shop machine cannot read what this tablet sent. Load the app again.",
		fault: "The shop machine could not note the pairing. Try the same code again.",
		checks: "The shop pairs a tablet only after the test above is passed.",
		silent:
			"No answer came from the shop machine. Look whether it runs and whether this tablet is in the shop's network. The code may be used up; then make a new one.",
		origin:
			"This page is open under another address than the shop's own. Open the one that the shop machine shows.",
	} as Record<string, string>,
	wallAt: (host: string) => `The wall's page is https://${host}/wall.`,
	card: "Pairing with the shop",
	asName: "name in the shop",
	asRole: "may do",
	nameInShop: (name: string) => `${name} (is changed on the shop machine)`,
	unpaired: "not paired",
	unpair: "unpair this tablet",
	unpairWhy:
		"The tablet forgets its key to the shop and keeps everything else. Take it off the list on the shop machine too.",
	unpairUnsent: (records: number, photos: number) =>
		`${[records > 0 ? plural(records, "entry", "entries") : "", photos > 0 ? plural(photos, "photo", "photos") : ""].filter((s) => s !== "").join(" and ")} on this tablet only. A file of everything is saved first; keep it until the shop machine has taken it in.`,
	confirm: (word: string) => `Type "${word}" to confirm`,
	confirmWord: "unpair",
	unpairing: "saving the file, then unpairing",
	unpairedNow: "Unpaired. Everything is still on this tablet.",
	notUnpaired: (why: string) => `Still paired: ${why}`,
};

export const test = {
	title: "What this tablet can do",
	again: "test again",
	running: "being tested",
	good: {
		name: (host: string) => `opened under the shop's name, ${host}`,
		secure: () => "the page counts as secure",
		worker: () => "starts without the shop machine",
		socket: () => "a live line to the shop opens",
		strict: () => "saved means on the disk",
		persisted: () => "the browser keeps the storage until a person deletes it",
		clock: () => "the clock is within 2 minutes of the shop's",
	} as Record<string, (said: string) => string>,
	not: {
		name: (host: string) => `opened under an address, ${host}, not under the shop's name`,
		secure: () => "the browser does not call this page secure",
		worker: () => "would not start without the shop machine",
		socket: () => "no live line to the shop opens",
		strict: () => "this browser does not say when a write is on the disk",
		persisted: (said: string) =>
			said === "unknown"
				? "the browser does not say whether it keeps the storage"
				: "the browser may clear the storage when space runs out",
		clock: (said: string) => (said === "" ? "the clock could not be compared with the shop's" : ""),
	} as Record<string, (said: string) => string>,
	/** What to do about it, for a page opened under host. */
	todo: {
		name: () =>
			"What a tablet holds belongs to what stands in the address line, and addresses change. Open the name that the shop machine shows, unless the shop has a fixed address on purpose.",
		secure: (host: string) => `Open https://${host}:8411/ and not http.`,
		worker: (host: string) =>
			`Most likely the shop's certificate is not trusted on this tablet, also where its warning was tapped away. Open http://${host}:8410/ and follow the steps there; an iPad needs both of them, installing and trusting. Not in a private window. Then test again.`,
		socket: (host: string) =>
			`Most likely the shop's certificate is not trusted: open http://${host}:8410/ and follow the steps there. If the line above is good, a filter or a proxy in the network stops it. Then test again.`,
		strict: () => "Pairing works. Update the browser where you can; until then send often.",
		persisted: () =>
			"Pairing works. Normal in a browser's tab; it usually goes away once the app is opened from the home screen. Until then send often.",
		clock: () => "Pairing works. Set the tablet to take its time from the network.",
	} as Record<string, (host: string) => string>,
	browserSaid: (what: string) => `The browser said: ${what}`,
};

export const reach = {
	title: "Why is the shop not reached?",
	look: "find out",
	looking: "looking; up to 10 s",
	took: (s: string) => `found after ${s} s`,
	unsure: "This browser does not show more than that; it can be either.",
	likely: "That is what it looks like from here.",
	cause: {
		answers: "The shop machine answers.",
		elsewhere: "The shop machine answers, but not under this name.",
		offline: "This tablet is in no network.",
		name: "The shop's name was not found.",
		route: "The name is known, but nobody answers there: no way to the shop machine.",
		"route?": "Nothing came back: no way to the shop machine, or its name was looked for in vain.",
		refused:
			"The shop's name is known, and the connection is turned down at once: the program does not run, a firewall is in between, or the shop has a new certificate that this tablet does not trust yet.",
		"refused-or-name":
			"It failed at once: the shop's name was not found, the shop machine refused, or it has a new certificate that this tablet does not trust yet.",
	} as Record<string, string>,
	todo: {
		answers:
			"If the link stays offline, wait half a minute and look again. If it still does, show this page to whoever looks after the shop machine.",
		elsewhere:
			"Its name or port was changed. What is on this tablet belongs to the old one: save everything to a file below, open the new name and have the shop machine take the file in.",
		offline: "Switch Wi-Fi on and choose the shop's network. Flight mode off.",
		name: "Is this the shop's Wi-Fi, and not mobile data or a guest network? Then the router does not know the name: whoever looks after the shop machine enters it there. Until then its address opens the trust page only.",
		route:
			"Is the shop machine switched on? Is this tablet in the shop's Wi-Fi and not in a guest network, and are mobile data off? Android sends everything over mobile data when a Wi-Fi has no internet.",
		refused:
			"On the shop machine: start tubewright serve, or let port 8411 through its firewall. If it runs, look whether this tablet is in the shop's Wi-Fi.",
		"refused-or-name":
			"First look on the shop machine whether tubewright serve runs. If it does, look whether this tablet is in the shop's Wi-Fi and not on mobile data, and whether the router knows the name.",
	} as Record<string, string>,
	/** For a shop that was set up anew, where it could be that. */
	trust: (host: string) =>
		`If it runs and all else is well, was the shop set up anew or given a new certificate? Open http://${host}:8410/ and follow the steps there.`,
	goesOn: "Entry goes on; nothing is lost while you look.",
};

// Words of what is saved where, and of the file of everything.

import { plural } from "./text";

export const saved = {
	title: "What is saved where",
	onTablet: "on this tablet only",
	waiting: (n: number, photos: number) =>
		[plural(n, "entry", "entries"), ...(photos > 0 ? [plural(photos, "photo", "photos")] : [])].join(" and "),
	unsentAge: "oldest unsent",
	link: "link to the shop",
	heard: "shop last heard",
	clock: "clock against the shop",
	clockUnknown: "not known yet",
	clockGood: "within 2 minutes",
	persist: "storage kept by the browser",
	persistYes: "yes, it is kept until you delete it",
	persistNo: "no: the browser may clear it when space runs out. Install the app and send what is unsent.",
	persistUnknown: "not answered yet",
	storage: "storage",
	storageGood: "writing works",
	room: "storage used",
	roomOf: (used: string, all: string) => `${used} of ${all}`,
	roomUnknown: "this browser does not say",
	spare: "room set aside for readings",
	spareYes: "yes",
	spareNo: "no, the storage is full: photos are refused, readings are saved",
	notTaken: "Not taken by the shop",
	notTakenWhy: "These stay on this tablet, and in its file. They are offered again each time it connects.",
	twin: "The shop holds another record under the same id. Open the field and keep the value again: that makes a new record.",
	refused: (why: string) =>
		`The shop said: ${why}. Open the field and keep the value again; if it is refused again, show this page to whoever looks after the shop machine.`,
	openField: "open the field",
	build: "build",
	update: "update and load again",
	updateWaiting: "A new version is ready.",
	updateShort: "new version",
	names: "Names",
	person: "Who measures",
	units: "Show lengths in",
	nothing: "nothing waits",
};

export const file = {
	title: "File of everything",
	why: "Readings, photos and half-typed texts of this tablet in one file, for when the shop cannot be reached. The shop machine takes it in as often as you like; nothing doubles.",
	make: "Save everything this tablet holds to a file",
	making: "making the file",
	holds: (records: number, photos: number, drafts: number) =>
		`${plural(records, "entry", "entries")}, ${plural(photos, "picture", "pictures")}, ${plural(drafts, "half-typed text", "half-typed texts")}.`,
	unread: (n: number) => `${plural(n, "picture is", "pictures are")} in the shop and not on this tablet.`,
	share: "send it",
	take: "save it here",
	cannot: (why: string) => `The file could not be made: ${why}.`,
	cannotShare: "The tablet did not send the file. Save it here instead.",
};

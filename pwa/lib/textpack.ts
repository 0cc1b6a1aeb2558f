/** Words of the record pack. */
export const pack = {
	title: "Record pack",
	why: "One file to build this header once more, or to repair it, without the car: all entries and photos, the stock its plan rests on, every sheet that can be made, and an index. The customer's name and the shop's prices are in it.",
	make: "Get the record pack from the shop",
	making: "The shop is making it",
	state: {
		away: "The shop is not in reach. It makes the pack, of what it holds.",
		unsent: "Not everything on this tablet is in the shop yet, and what is not there is not in the pack.",
		all: "All that is on this tablet is in the shop, and so in the pack.",
	},
	refused: (why: string) => `There is no record pack: ${why}.`,
	holds: (name: string, mb: string) => `${name}, ${mb} MB`,
	benchOnly: "The record pack is for the bench and for the shop machine; this tablet is for measuring.",
};

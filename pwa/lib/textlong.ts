// Words of calculations that take long, which are fetched when first wanted.

export const longText = {
	running: (done: number) =>
		done > 0 ? `being worked out, ${Math.floor(done * 100)} % of the longest search` : "being worked out",
	stop: "stop",
	stopped: "Stopped. What stands here is not of what is entered now.",
	stoppedEmpty: "Stopped before there was an answer.",
	again: "work it out",
	away: "The part of the app that works this out is not on this tablet yet: it comes with the next connection to the shop.",
	failed: (why: string) => `This could not be worked out: ${why}`,
};

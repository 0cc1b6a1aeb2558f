// What other pages say of the plan of cuts; its own words come with the bench.

export const cuts = {
	toLook: (n: number) => `plan of cuts: ${n > 0 ? `${n} to look at` : "nothing to look at"}`,
	toLookBefore: (n: number) =>
		`plan of cuts, before the latest entries: ${n > 0 ? `${n} to look at` : "nothing to look at"}`,
};

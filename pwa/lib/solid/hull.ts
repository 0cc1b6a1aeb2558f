// The outline of a plate that is guessed from what lies on it.

export type Spot = [number, number];

/** hull is the least convex outline around points, counter-clockwise (Andrew's monotone chain, 1979). */
export function hull(points: Spot[]): Spot[] {
	const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
	const half = (list: Spot[]) => {
		const chain: Spot[] = [];
		for (const p of list) {
			while (chain.length > 1 && turn(chain.at(-2) as Spot, chain.at(-1) as Spot, p) <= 0) chain.pop();
			chain.push(p);
		}
		return chain.slice(0, -1);
	};
	return sorted.length < 3 ? sorted : [...half(sorted), ...half(sorted.reverse())];
}

const turn = (a: Spot, b: Spot, c: Spot) => (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);

/** circle is a round outline as corners, counter-clockwise. */
export const circle = (x: number, y: number, radius: number, corners = 24): Spot[] =>
	Array.from({ length: corners }, (_, k): Spot => {
		const by = (k * 2 * Math.PI) / corners;
		return [x + radius * Math.cos(by), y + radius * Math.sin(by)];
	});

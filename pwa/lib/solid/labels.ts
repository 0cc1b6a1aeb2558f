// Where names and figures stand on a picture: whole, and none over another. What finds
// no room is left out; the list beside the picture has it.

export interface Label {
	key: string;
	places: { x: number; y: number }[]; // for its middle, the best first, px
	wide: number;
	high: number;
}

const ROOM_PX = 3;

/** placeLabels gives each label, the most important first, the first of its places that is free. */
export function placeLabels(
	labels: Label[],
	wide: number,
	high: number,
): Map<string, { x: number; y: number }> {
	const taken: { x: number; y: number; wide: number; high: number }[] = [];
	const at = new Map<string, { x: number; y: number }>();
	for (const l of labels) {
		const free = l.places.find(
			(p) =>
				p.x - l.wide / 2 >= ROOM_PX &&
				p.x + l.wide / 2 <= wide - ROOM_PX &&
				p.y - l.high / 2 >= ROOM_PX &&
				p.y + l.high / 2 <= high - ROOM_PX &&
				taken.every(
					(t) =>
						Math.abs(t.x - p.x) >= (t.wide + l.wide) / 2 + ROOM_PX ||
						Math.abs(t.y - p.y) >= (t.high + l.high) / 2 + ROOM_PX,
				),
		);
		if (!free) continue;
		taken.push({ ...free, wide: l.wide, high: l.high });
		at.set(l.key, free);
	}
	return at;
}

/** around are places beside a point, for a label that must not hide it. */
export function around(p: { x: number; y: number }, wide: number, high: number): { x: number; y: number }[] {
	const [dx, dy] = [wide / 2 + 14, high / 2 + 12];
	return [
		[dx, -dy],
		[-dx, -dy],
		[dx, dy],
		[-dx, dy],
		[0, -dy - 6],
		[0, dy + 6],
		[dx + 40, 0],
		[-dx - 40, 0],
	].map(([x = 0, y = 0]) => ({ x: p.x + x, y: p.y + y }));
}

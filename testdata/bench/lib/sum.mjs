// Medians, ratios, the table.

export function percentile(values, p) {
	const sorted = [...values].sort((a, b) => a - b);
	return sorted[Math.min(sorted.length - 1, Math.ceil(p * sorted.length) - 1)];
}

export function median(values) {
	const sorted = [...values].sort((a, b) => a - b);
	const half = sorted.length >> 1;
	return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

/** medians returns the median of each number in runs, and for those on the wire too. */
export function medians(runs) {
	const of = (take) =>
		runs.some((r) => take(r) === undefined || take(r) === null) ? null : median(runs.map(take));
	const side = (name) => ({ up: of((r) => r[name].up), down: of((r) => r[name].down) });
	return {
		seconds: of((r) => r.seconds),
		least: Math.min(...runs.map((r) => r.seconds)),
		most: Math.max(...runs.map((r) => r.seconds)),
		p50: of((r) => r.p50),
		p95: of((r) => r.p95),
		writer: side("writer"),
		reader: side("reader"),
		bytesPerChange: of((r) => r.bytesPerChange),
		serverMS: of((r) => r.serverMS),
		onDisk: runs[0].onDisk === null ? null : Math.min(...runs.map((r) => r.onDisk)),
		sound: runs.every((r) => r.sound),
	};
}

/** table lays rows of words out in columns; the first row is the head. */
export function table(rows) {
	const widths = rows[0].map((_, i) => Math.max(...rows.map((r) => r[i].length)));
	const line = (r) =>
		`| ${r.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]) : cell.padStart(widths[i]))).join(" | ")} |`;
	const rule = `|${widths.map((w, i) => (i === 0 ? "-".repeat(w + 2) : `${"-".repeat(w + 1)}:`)).join("|")}|`;
	return [line(rows[0]), rule, ...rows.slice(1).map(line)].join("\n");
}

export const fixed = (value, digits) => (value === null || value === undefined ? "–" : value.toFixed(digits));

/** ratio writes ours to a peer's. */
export const ratio = (ours, peer) => (ours && peer ? (ours / peer).toFixed(2) : "–");

// Where the person is, as the part of the address behind "#".

import type { Route } from "./typesapp";

export const HOME: Route = { screen: "jobs" };

/** hashOf writes a route: "#/measure?job=j-abc&slot=port%2Fp1%2Fwidth". */
export function hashOf(r: Route): string {
	const q = new URLSearchParams();
	if (r.job) q.set("job", r.job);
	if (r.slot) q.set("slot", r.slot);
	if (r.id) q.set("id", r.id);
	const query = q.toString();
	return `#/${r.screen}${query ? `?${query}` : ""}`;
}

/** routeOf reads it back; null when the address names no screen. */
export function routeOf(hash: string): Route | null {
	const m = /^#\/([a-z0-9-]+)(?:\?(.*))?$/.exec(hash);
	if (!m) return null;
	const q = new URLSearchParams(m[2] ?? "");
	const route: Route = { screen: m[1] as string };
	for (const key of ["job", "slot", "id"] as const) {
		const value = q.get(key);
		if (value) route[key] = value;
	}
	return route;
}

/** isRoute tells whether a stored value can be gone to. */
export const isRoute = (v: unknown): v is Route =>
	typeof v === "object" && v !== null && typeof (v as Route).screen === "string";

// Gaps in the order in which a person wants to hear of them.

import type { PlanGap } from "../typesaround";
import type { Plan } from "../typesplan";

/** How a gap stands: too small, too near the limit for the figures it rests on, or wide enough. */
export type Stand = "short" | "close" | "enough";

/** standOf judges a gap. Where nothing is asked of it, only surfaces that touch are too near. */
export function standOf(g: PlanGap): Stand {
	if (g.too_close_to_call) return "close";
	return g.gap < (g.wanted ?? 0) ? "short" : "enough";
}

/** spare is what is left of a gap beyond what is wanted, mm; negative where it falls short. */
export const spare = (g: PlanGap): number => g.gap - (g.wanted ?? 0);

const RANK: Record<Stand, number> = { short: 0, close: 1, enough: 2 };

/** worstFirst is the plan's gaps, those that fall short first, each lot by what is left. */
export const worstFirst = (plan: Plan): PlanGap[] =>
	[...(plan.gaps ?? [])].sort((a, b) => RANK[standOf(a)] - RANK[standOf(b)] || spare(a) - spare(b));

/** gapKey names a gap. */
export const gapKey = (g: PlanGap) => `gap/${g.a}/${g.b}`;

/** How a gap stands in full: its surfaces touch, nothing is cut with it, it is too small, too close to call, or enough. */
export type GapState = "touch" | "least" | "short" | "close" | "enough";

/** stateOf judges a gap in full. */
export function stateOf(g: PlanGap): GapState {
	if (g.gap <= 0) return "touch";
	const stand = standOf(g);
	return stand === "short" && typeof g.least === "number" && g.gap < g.least ? "least" : stand;
}

const ORDER: GapState[] = ["touch", "least", "short", "close", "enough"];

/** A long list of gaps cut short: what asks for something, of the others the closest of each tube and neighbour, and the rest. */
export interface ShortForm {
	asking: PlanGap[];
	closest: PlanGap[];
	rest: PlanGap[];
}

/**
 * shortForm sorts gaps into what has to be seen and what can be folded away: nothing that is too small or too close
 * to call is, and of each neighbour, and of each tube beside other tubes, the one with least to spare is not.
 */
export function shortForm(gaps: PlanGap[], isTube: (id: string) => boolean): ShortForm {
	const seen = new Set<string>();
	const form: ShortForm = { asking: [], closest: [], rest: [] };
	for (const g of [...gaps].sort((a, b) => spare(a) - spare(b))) {
		const of = isTube(g.b) ? [g.a, g.b] : [g.b];
		const isClosest = of.some((id) => !seen.has(id));
		for (const id of of) seen.add(id);
		const to = stateOf(g) !== "enough" ? form.asking : isClosest ? form.closest : form.rest;
		to.push(g);
	}
	form.asking.sort((a, b) => ORDER.indexOf(stateOf(a)) - ORDER.indexOf(stateOf(b)));
	return form;
}

// Gaps in the order in which a person wants to hear of them.

import type { Plan, PlanGap } from "../types";

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

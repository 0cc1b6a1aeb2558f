import { answered } from "../lib/long";
import { cuts } from "../lib/textcuts";
import type { PlanCuts } from "../lib/typescuts";
import type { Finding } from "../lib/typesplan";

/**
 * cutsLook is how much of a job's plan of cuts is to be looked at, in words; null before one was worked out. What is in
 * dispute is counted with the job; that there is no stock at all is no fault, and to be looked at all the same.
 */
export function cutsLook(job: string): { n: number; words: string } | null {
	const plan = answered<PlanCuts>("cuts", job);
	if (!plan) return null;
	const isOf = (f: Finding) => (f.severity !== "note" && f.rule !== "disputed") || f.rule === "stock-open";
	const n = plan.answer.findings.filter(isOf).length;
	return { n, words: plan.isOfNow ? cuts.toLook(n) : cuts.toLookBefore(n) };
}

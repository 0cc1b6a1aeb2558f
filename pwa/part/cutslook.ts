import { answered } from "../lib/long";
import { cuts } from "../lib/textcuts";
import type { PlanCuts } from "../lib/typescuts";

/**
 * cutsLook is how much of a job's plan of cuts is to be looked at, in words; null before one was worked out. What is in
 * dispute is counted with the job.
 */
export function cutsLook(job: string): { n: number; words: string } | null {
	const plan = answered<PlanCuts>("cuts", job);
	if (!plan) return null;
	const n = plan.answer.findings.filter((f) => f.severity !== "note" && f.rule !== "disputed").length;
	return { n, words: plan.isOfNow ? cuts.toLook(n) : cuts.toLookBefore(n) };
}

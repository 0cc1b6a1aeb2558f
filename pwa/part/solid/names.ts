// How the things of a drawing are called.

import { text } from "../../lib/text";
import type { Plan } from "../../lib/types";
import { titleOf } from "../known";

/** nameOf names what a gap lies beside: a tube by its number, a neighbour by its name. */
export function nameOf(job: string, plan: Plan, id: string): string {
	if (plan.tubes?.some((t) => t.id === id)) return titleOf(job, "tube", id);
	const near = plan.neighbours?.find((n) => n.id === id);
	if (near) return near.name || near.id;
	if (plan.flanges?.some((f) => f.bank === id)) return text.bank.title(id);
	return id;
}

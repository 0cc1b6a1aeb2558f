import { useEffect, useState } from "preact/hooks";
import { Superseded } from "../lib/calc";
import { type HeadPlan, units, view, withEach } from "../lib/state";
import { choose } from "../lib/textchoose";
import { lines } from "../lib/withwords";
import { titleOf } from "./known";
import { Mark } from "./mark";

/** What each reading makes of the plan, as far as it is worked out. */
export interface Weighed {
	plans: HeadPlan[];
	busy: boolean;
	why: string; // it cannot be worked out; "" where it can
}

/** useWith asks for the plan with each reading, again whenever the job or what is on the table changes. */
export function useWith(job: string, slot: string, shown: string): Weighed {
	const [is, setIs] = useState<Weighed>({ plans: [], busy: true, why: "" });
	const hash = view.value?.job === job ? view.value.hash : "";
	// biome-ignore lint/correctness/useExhaustiveDependencies: what is on the table, or any other value of the job, is another now
	useEffect(() => {
		let gone = false;
		setIs((was) => ({ ...was, busy: true }));
		withEach(job, slot).then(
			(plans) => !gone && setIs({ plans, busy: false, why: "" }),
			(e: unknown) => {
				if (gone || e instanceof Superseded) return;
				setIs({ plans: [], busy: false, why: e instanceof Error ? e.message : String(e) });
			},
		);
		return () => {
			gone = true;
		};
	}, [job, slot, shown, hash]);
	return is;
}

interface WithPlanProps {
	job: string;
	id: string;
	weighed: Weighed;
}

// <WithPlan job={…} id={reading} weighed={useWith(…)}> says what the plan becomes with one reading, or that it
// is being worked out; nothing where it cannot be.
// Props: job, id (of the reading), weighed.  Calls: nothing.
export function WithPlan({ job, id, weighed }: WithPlanProps) {
	if (weighed.why !== "") return null;
	const plan = weighed.plans.find((p) => p.id === id);
	return (
		<div class={`with-plan ${weighed.busy ? "stale" : ""}`} data-test={`with:${id}`} aria-busy={weighed.busy}>
			<h3>{choose.with}</h3>
			{plan ? (
				<ul>
					{lines(plan, units.value, (kind, of) => titleOf(job, kind, of)).map((l) => (
						<li key={l.words} class="row">
							<Mark kind={l.mark} />
							<span>{l.words}</span>
						</li>
					))}
				</ul>
			) : (
				<p class="soft">{choose.working}</p>
			)}
		</div>
	);
}

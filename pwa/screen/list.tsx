import { asked } from "../lib/fields";
import { view } from "../lib/state";
import { text } from "../lib/text";
import { FieldCell } from "../part/fieldcell";
import { ownerTitle } from "../part/known";
import { Page } from "../part/page";

interface ListProps {
	job: string;
	which: string;
}

// <List job={…} which="disputed"> lists slots that want a person, by what they belong to: those still to
// measure, or those whose readings disagree.
// Props: job, which ("disputed", or anything else for what is to be measured).  Calls: nothing.
export function List({ job, which }: ListProps) {
	const v = view.value;
	const isDisputed = which === "disputed";
	const slots = isDisputed
		? Object.keys(v?.slots ?? {}).filter((s) => v?.slots[s]?.state === "disputed")
		: (v?.todo ?? []).map((t) => t.slot);
	const groups = new Map<string, string[]>();
	for (const slot of slots) {
		const owner = slot.slice(0, slot.lastIndexOf("/"));
		groups.set(owner, [...(groups.get(owner) ?? []), slot]);
	}
	return (
		<Page title={isDisputed ? text.choose.list : text.list.todo} back={{ screen: "job", job }}>
			{slots.length === 0 && <p class="soft">{isDisputed ? text.choose.none : text.list.none}</p>}
			{[...groups].map(([owner, of]) => (
				<section key={owner} class="card stack">
					<h2>{ownerTitle(job, owner)}</h2>
					<div class="cells">
						{of.map((slot) => {
							const ask = asked(slot);
							return ask && <FieldCell key={slot} job={job} ask={ask} />;
						})}
					</div>
				</section>
			))}
		</Page>
	);
}

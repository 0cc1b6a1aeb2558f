import { asked } from "../lib/fields";
import { go, view } from "../lib/state";
import { text } from "../lib/text";
import { choose } from "../lib/textchoose";
import { FieldCell } from "../part/fieldcell";
import { ownerTitle } from "../part/known";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { Resting } from "../part/resting";
import { todoRoute, todoWords } from "./measure";

interface ListProps {
	job: string;
	which: string;
}

// <List job={…} which="disputed"> lists slots that want a person, by what they belong to: those still to
// measure, or those whose readings disagree.
// Props: job, which ("disputed", or anything else for what is to be measured).  Calls: go.
export function List({ job, which }: ListProps) {
	const v = view.value;
	const isDisputed = which === "disputed";
	const slots = isDisputed
		? (v?.plan.findings ?? []).flatMap((f) => (f.rule === "disputed" ? (f.slots ?? []) : []))
		: (v?.todo ?? []).map((t) => t.slot).filter((s) => asked(s) !== null);
	// what cannot be measured before an entry is added
	const entries = isDisputed ? [] : (v?.todo ?? []).filter((t) => asked(t.slot) === null);
	const groups = new Map<string, string[]>();
	for (const slot of slots) {
		const owner = slot.slice(0, slot.lastIndexOf("/"));
		groups.set(owner, [...(groups.get(owner) ?? []), slot]);
	}
	return (
		<Page title={isDisputed ? choose.list : text.list.todo} back={{ screen: "job", job }}>
			{slots.length + entries.length === 0 && <p class="soft">{isDisputed ? choose.none : text.list.none}</p>}
			{[...groups].map(([owner, of]) => (
				<section key={owner} class="card stack">
					<h2>{ownerTitle(job, owner)}</h2>
					<div class="cells">
						{of.map((slot) => {
							const ask = asked(slot);
							return ask ? (
								<FieldCell key={slot} job={job} ask={ask} />
							) : (
								<Resting key={slot} job={job} slots={[slot]} />
							);
						})}
					</div>
				</section>
			))}
			{entries.map((t) => (
				<button key={t.slot} type="button" class="card step" onClick={() => go(todoRoute(job, t.slot))}>
					<Mark kind="missing" />
					<strong class="grow">{todoWords(t)}</strong>
					<span class="act">▸</span>
				</button>
			))}
		</Page>
	);
}

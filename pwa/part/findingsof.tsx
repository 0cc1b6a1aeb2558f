import { kinds } from "../lib/fields";
import { type Finding, listOf, view } from "../lib/state";
import { FindingRow } from "./finding";

/** ownSlots returns a test whether a slot belongs to an entry or to anything that belongs to it. */
export function ownSlots(job: string, kind: string, id: string): (slot: string) => boolean {
	const own = new Set<string>();
	const add = (k: string, e: string) => {
		own.add(`${k}/${e}`);
		for (const child of childrenOf(k)) for (const c of listOf(job, child, e)) add(child, c.id);
	};
	add(kind, id);
	return (slot) => own.has(slot.split("/").slice(0, 2).join("/"));
}

/** childrenOf lists the kinds of which entries belong to one of a kind. */
export const childrenOf = (kind: string): string[] =>
	Object.values(kinds).flatMap((k) => (k && k.parent === kind ? [k.name] : []));

/** findingsOf are the findings of the plan that rest on an entry or on what belongs to it. */
export function findingsOf(job: string, kind: string, id: string): Finding[] {
	const isOwn = ownSlots(job, kind, id);
	return (view.value?.plan.findings ?? []).filter((f) => f.slots?.some(isOwn) || f.where?.includes(id));
}

// <FindingsOf job={…} list={findingsOf(…)}> are findings on the page of what they rest on.
// Props: job, list.  Calls: nothing.
export function FindingsOf({ job, list }: { job: string; list: Finding[] }) {
	return (
		<section class="card">
			<ul>
				{list.map((f) => (
					<FindingRow key={`${f.rule} ${f.slots?.join()} ${f.text}`} job={job} finding={f} />
				))}
			</ul>
		</section>
	);
}

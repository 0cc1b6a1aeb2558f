import { kinds } from "../lib/fields";
import { listOf, view } from "../lib/state";
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

// <FindingsOf job={…} kind="neighbour" id="n1"> are the findings of the plan that rest on an entry.
// Props: job, kind, id.  Calls: nothing.
export function FindingsOf({ job, kind, id }: { job: string; kind: string; id: string }) {
	const isOwn = ownSlots(job, kind, id);
	const found = (view.value?.plan.findings ?? []).filter(
		(f) => f.slots?.some(isOwn) || f.where?.includes(id),
	);
	if (found.length === 0) return null;
	return (
		<section class="card">
			<ul>
				{found.map((f) => (
					<FindingRow key={`${f.rule} ${f.slots?.join()} ${f.text}`} job={job} finding={f} />
				))}
			</ul>
		</section>
	);
}

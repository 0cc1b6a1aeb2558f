import { asksFor, kinds } from "../lib/fields";
import { length } from "../lib/say";
import { addEntity, go, listOf, units, view } from "../lib/state";
import { around } from "../lib/textaround";
import { ownSlots } from "../part/findingsof";
import { known, titleOf, word } from "../part/known";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { Removed } from "../part/removed";
import { ViewSwitch } from "../part/viewswitch";

// In the order in which they are come by: where the tubes go, what is in the way, how places were found.
const LISTS = ["collector", "neighbour", "point", "tie", "tool"];

// <Around job={…}> lists what the tubes must reach and clear, and adds to it; each entry has a page of its own.
// Props: job.  Calls: addEntity, go.
export function Around({ job }: { job: string }) {
	return (
		<Page title={around.lists.title} back={{ screen: "job", job }} extra={<ViewSwitch />}>
			<div class="columns">
				{LISTS.map((kind) => (
					<List key={kind} job={job} kind={kind} />
				))}
			</div>
		</Page>
	);
}

function List({ job, kind }: { job: string; kind: string }) {
	const list = listOf(job, kind);
	return (
		<section class="card stack" data-test={`list:${kind}`}>
			<h2>{kinds[kind]?.plural}</h2>
			<p class="soft">{around.lists.why[kind]}</p>
			{list.length === 0 && <p class="soft">{around.lists.none[kind]}</p>}
			<ul class="stack">
				{list.map((e) => (
					<Row key={e.id} job={job} kind={kind} id={e.id} />
				))}
			</ul>
			<Removed job={job} kind={kind} parent="" />
			<button type="button" data-test={`add-${kind}`} onClick={() => add(job, kind)}>
				{around.lists.add[kind]}
			</button>
		</section>
	);
}

function Row({ job, kind, id }: { job: string; kind: string; id: string }) {
	const isOwn = ownSlots(job, kind, id);
	const open = (view.value?.todo ?? []).filter((t) => isOwn(t.slot)).length;
	const lacks = lackOf(job, kind, id);
	const stopped = (view.value?.plan.findings ?? []).some(
		(f) => f.severity !== "note" && f.where?.includes(id),
	);
	return (
		<li>
			<button
				type="button"
				class="card step"
				data-test={`row:${kind}/${id}`}
				onClick={() => go({ screen: "item", job, slot: `${kind}/${id}` })}
			>
				<Mark kind={open > 0 || lacks !== "" ? "missing" : stopped ? "warn" : "agreed"} />
				<strong class="grow">{titleOf(job, kind, id)}</strong>
				<span class="soft">{open > 0 ? around.lists.open(open) : lacks || said(kind, id)}</span>
				<span class="act">▸</span>
			</button>
		</li>
	);
}

// What an entry lacks beside its fields: a neighbour its shape, a point that is not known directly its tapes.
function lackOf(job: string, kind: string, id: string): string {
	if (kind === "neighbour" && listOf(job, "part", id).length === 0) return around.lists.noShape;
	const tapes = listOf(job, "tape", id).length;
	if (kind === "point" && tapes < 3 && known(job, `point/${id}/z`).state === "missing")
		return around.lists.ofThree(tapes);
	return "";
}

// What the plan has to say of an entry in a few words.
function said(kind: string, id: string): string {
	const plan = view.value?.plan ?? {};
	const u = units.value;
	if (kind === "neighbour") {
		const gap = (plan.gaps ?? []).filter((g) => g.a === id || g.b === id).map((g) => g.gap);
		if (gap.length > 0) return `${around.gaps.head.gap} ${length(Math.min(...gap), u)}`;
	}
	if (kind === "point") {
		const far = plan.points?.find((p) => p.id === id)?.sigma?.[0];
		if (typeof far === "number") return around.closing.sigma(length(far, u));
	}
	return around.lists.complete;
}

// A new entry begins with what it cannot do without. A point begins with its first tape; where there is more than
// one frame the frame comes first.
async function add(job: string, kind: string): Promise<void> {
	const id = await addEntity(job, kind, "", {}).catch(() => "");
	if (id === "") return;
	if (kind === "point") return addTape(job, id);
	const hasFrames = listOf(job, "bank").length > 1;
	const asks = asksFor(kind, id, (s) => word(job, s));
	const first = asks.find((a) => a.field.required || (hasFrames && a.field.name === "frame"));
	go(first ? { screen: "measure", job, slot: first.slot } : { screen: "item", job, slot: `${kind}/${id}` });
}

/** addTape begins a tape of a point with the question from where. */
export async function addTape(job: string, point: string): Promise<void> {
	const id = await addEntity(job, "tape", point, {}).catch(() => "");
	if (id !== "") go({ screen: "measure", job, slot: `tape/${id}/from` });
}

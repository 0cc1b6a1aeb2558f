import type { ComponentChildren } from "preact";
import { asksFor, kinds, outlinedBy, parentOf } from "../lib/fields";
import { addEntity, go, listOf, type Route, removeEntity, view } from "../lib/state";
import { around } from "../lib/textaround";
import { bank } from "../lib/textbank";
import { flange } from "../lib/textflange";
import { Caution } from "../part/caution";
import { Cells } from "../part/cells";
import { CollectorFit } from "../part/collectorfit";
import { Entity } from "../part/entity";
import { childrenOf, FindingsOf, findingsOf } from "../part/findingsof";
import { AccessTable, FrameCard, Gaps } from "../part/gaps";
import { bankOf, ownerTitle, titleOf, word } from "../part/known";
import { Page } from "../part/page";
import { PatternFit, patternPlan } from "../part/patternfit";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";
import { PointFix } from "../part/pointfix";
import { Removed } from "../part/removed";
import { stockWay } from "../part/stockway";
import { TrueCLR } from "../part/trueclr";
import { offerUndo } from "../part/undo";
import { ViewSwitch } from "../part/viewswitch";
import { addTape } from "./around";
import { ownerRoute } from "./measure";

interface ItemProps {
	job: string;
	slot: string;
}

// <Item job={…} slot="neighbour/n-k3f9q2"> is the page of one entry of any list: its fields, what belongs to
// it, what the plan says of it, and at the foot what is added next.
// Props: job, slot (kind and id).  Calls: addEntity, removeEntity, go.
export function Item({ job, slot }: ItemProps) {
	const [kind = "", id = ""] = slot.split("/");
	const back = backOf(job, kind, id);
	if (!listOf(job, kind).some((e) => e.id === id)) {
		return (
			<Page title={kinds[kind]?.label ?? ""} back={{ screen: "around", job }}>
				<p class="soft">{around.entry.gone}</p>
			</Page>
		);
	}
	const title = titleOf(job, kind, id);
	const remove = async () => {
		const undo = await removeEntity(job, kind, id);
		offerUndo(bank.removed(title), undo);
		go(back);
	};
	const isTop = parentOf(kind) === "" || kind === "pattern";
	const says = saysOf(job, kind, id);
	return (
		<Page title={ownerTitle(job, slot)} back={back} extra={<ViewSwitch />} foot={footOf(job, kind, id)}>
			<div class={kind === "pattern" ? "stack" : says.length > 0 ? "split" : ""}>
				{says.length > 0 && <div class={kind === "pattern" ? "stack" : "split-figure stack"}>{says}</div>}
				<div class="stack">
					<section class="card stack">
						<Cells job={job} kind={kind} id={id} />
						<PhotoButton job={job} slot={`${slot}/photo`} what={title} />
						<Photos job={job} slot={`${slot}/photo`} />
					</section>
					{shownChildren(job, kind, id).map((child) => (
						<Children key={child} job={job} kind={child} of={id} />
					))}
					{kind === "pattern" && (
						<Caution>
							<p>{flange.caution}</p>
						</Caution>
					)}
					{isTop && (
						<button
							type="button"
							class="plain"
							data-test="remove-entry"
							onClick={() => remove().catch(() => {})}
						>
							{around.entry.remove(title)}
						</button>
					)}
				</div>
			</div>
		</Page>
	);
}

function backOf(job: string, kind: string, id: string): Route {
	const of = parentOf(kind);
	if (kind === "stock") return stockWay();
	if (of === "") return { screen: "around", job };
	if (kind === "pattern") return { screen: "flange", job, id: bankOf(job, kind, id) };
	return ownerRoute(job, `${of}/${listOf(job, kind).find((e) => e.id === id)?.parent ?? ""}`);
}

// A shape has points of its own only where it is a sleeve, an outline only where it is measured point by point.
function shownChildren(job: string, kind: string, id: string): string[] {
	const isDrawnBy = (c: string) => {
		if (c === "corner") return isSleeve(job, id);
		return outlinedBy(c) === "" || word(job, `${kind}/${id}/shape`) === "points";
	};
	// what was taken of stock is kept by sawing it, and stands in what is left
	return childrenOf(kind).filter((c) => c !== "use" && (isDrawnBy(c) || listOf(job, c, id).length > 0));
}

const isSleeve = (job: string, part: string) => word(job, `part/${part}/shape`) === "sleeve";

function Children({ job, kind, of }: { job: string; kind: string; of: string }) {
	const list = listOf(job, kind, of);
	return (
		<section class="stack">
			<h2>{kinds[kind]?.plural}</h2>
			{kind === "tape" && list.length > 0 && <p class="soft">{around.entry.tapes(list.length)}</p>}
			{list.length === 0 && <p class="soft">{around.entry.noChildren[kind]}</p>}
			<ol class="stack">
				{list.map((e) => (
					<Entity key={e.id} job={job} kind={kind} id={e.id} below={belowOf(job, kind, e.id)} />
				))}
			</ol>
			<Removed job={job} kind={kind} parent={of} />
		</section>
	);
}

// The way to what belongs to an entry in turn: the points of a sleeve, of a measured outline.
function belowOf(job: string, kind: string, id: string): ComponentChildren {
	const way = (test: string, to: Route, say: string) => (
		<button type="button" class="sub" data-test={`${test}:${id}`} onClick={() => go(to)}>
			{`${say} ▸`}
		</button>
	);
	if (kind === "part" && isSleeve(job, id))
		return way(
			"sleeve",
			{ screen: "item", job, slot: `part/${id}` },
			around.entry.sleeve(listOf(job, "corner", id).length),
		);
	if (kind === "opening" && word(job, `opening/${id}/shape`) === "points")
		return way(
			"spots",
			{ screen: "rim", job, slot: `opening/${id}` },
			flange.pattern.spots(listOf(job, "spot", id).length),
		);
	return null;
}

// What is added next, in reach of the thumb.
function footOf(job: string, kind: string, id: string): ComponentChildren {
	if (kind === "point") {
		const tapes = listOf(job, "tape", id).length;
		const needsSide = tapes >= 3 && word(job, `point/${id}/side`) === "";
		return (
			<div class="row">
				<button
					type="button"
					class={needsSide ? "grow" : "primary grow"}
					data-test="add-tape"
					onClick={() => addTape(job, id)}
				>
					{tapes === 0 ? around.lists.add.tape : around.entry.nextTape}
				</button>
				{needsSide && (
					<button
						type="button"
						class="primary grow"
						data-test="point-side"
						onClick={() => go({ screen: "measure", job, slot: `point/${id}/side` })}
					>
						{around.entry.side}
					</button>
				)}
			</div>
		);
	}
	const children = shownChildren(job, kind, id);
	if (children.length === 0) return null;
	const add = async (child: string) => {
		const added = await addEntity(job, child, id, {}).catch(() => "");
		const first = asksFor(child, added, () => "").find((a) => a.field.required);
		if (added !== "" && first) go({ screen: "measure", job, slot: first.slot });
	};
	return (
		<div class="row">
			{children.map((child) => (
				<button
					key={child}
					type="button"
					class="primary grow"
					data-test={`add-${child}`}
					onClick={() => add(child)}
				>
					{around.lists.add[child]}
				</button>
			))}
		</div>
	);
}

// What the plan says of the entry, as far as it says something.
function saysOf(job: string, kind: string, id: string): ComponentChildren[] {
	const plan = view.value?.plan ?? {};
	const says: ComponentChildren[] = [];
	if (kind === "stock" && plan.stock?.some((s) => s.id === id && s.true_clr !== null))
		says.push(<TrueCLR key="clr" job={job} id={id} />);
	if (kind === "point") says.push(<PointFix key="fix" job={job} id={id} />);
	if (kind === "pattern" && patternPlan(job, id)) says.push(<PatternFit key="fit" job={job} id={id} />);
	const sockets = plan.collectors?.find((c) => c.id === id)?.sockets ?? [];
	if (kind === "collector" && sockets.length > 0) says.push(<CollectorFit key="fit" job={job} id={id} />);
	const gaps = (plan.gaps ?? []).filter((g) => g.a === id || g.b === id);
	if (gaps.length > 0) says.push(<Gaps key="gaps" job={job} gaps={gaps} />);
	const access = (plan.access ?? []).filter((a) => a.tool === id || a.against === id);
	if (access.length > 0) says.push(<AccessTable key="access" job={job} list={access} />);
	for (const f of plan.frames ?? []) {
		if (kind === "tie" && f.residuals?.some((r) => r.tie === id))
			says.push(<FrameCard key={f.frame} job={job} frame={f} />);
	}
	// that a pattern cannot be laid on yet stands above already
	const found = findingsOf(job, kind, id).filter((f) => f.rule !== "pattern-open");
	if (found.length > 0) says.push(<FindingsOf key="found" job={job} list={found} />);
	return says;
}

import { useState } from "preact/hooks";
import { asksFor, used } from "../lib/fields";
import { degrees, length } from "../lib/say";
import { addEntity, go, listOf, noteText, SHOP, units, view } from "../lib/state";
import { text } from "../lib/text";
import { stock } from "../lib/textstock";
import { Caution } from "../part/caution";
import { ElbowPicker } from "../part/elbowpicker";
import { Figures } from "../part/figures";
import { known, titleOf, word } from "../part/known";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { Removed } from "../part/removed";
import { openedFrom } from "../part/stockway";
import { ViewSwitch } from "../part/viewswitch";

const TYPES = ["bend", "length", "elbow"] as const;

// <Stock job={…}> is what the shop cuts from: every item with its size, what is left of it and its price; and what a
// job brought along for itself. What is added is the shop's.
// Props: job (from which it is looked at, the shop's own for none).  Calls: addEntity, go.
export function Stock({ job }: { job: string }) {
	const [isPicking, setPicking] = useState(false);
	openedFrom(job);
	const v = view.value?.job === job ? view.value : null;
	const list = listOf(SHOP, "stock");
	const own = job === SHOP ? [] : listOf(job, "stock");
	const add = async (type: (typeof TYPES)[number]) => {
		const added = await addEntity(SHOP, "stock", "", { type }).catch(() => "");
		const first = type === "length" ? "od" : "form";
		if (added !== "") go({ screen: "measure", job: SHOP, slot: `stock/${added}/${first}` });
	};
	return (
		<Page
			title={stock.title}
			back={job === SHOP ? { screen: "jobs" } : { screen: "cuts", job }}
			extra={<ViewSwitch />}
			foot={
				!isPicking && (
					<div class="row">
						{TYPES.map((t) => (
							<button
								key={t}
								type="button"
								class="primary grow"
								data-test={`add-stock:${t}`}
								onClick={() => (t === "elbow" ? setPicking(true) : add(t))}
							>
								{stock.add[t]}
							</button>
						))}
					</div>
				)
			}
		>
			{isPicking ? (
				<ElbowPicker job={SHOP} onHand={() => void add("elbow")} onLeave={() => setPicking(false)} />
			) : (
				<div class={v?.stale ? "stale" : ""}>
					<div class="stack">
						<p class="soft">{list.length > 0 ? stock.why : own.length > 0 ? stock.noneOfShop : stock.none}</p>
						{list.length > 0 && (
							<section class="card stack">
								<Items job={SHOP} of={job} ids={list.map((e) => e.id)} />
							</section>
						)}
						<Removed job={SHOP} kind="stock" parent="" />
						{own.length > 0 && (
							<section class="card stack" data-test="own-stock">
								<h2>{stock.ownTitle}</h2>
								<Items job={job} of={job} ids={own.map((e) => e.id)} />
							</section>
						)}
						<Caution>
							<p>{stock.caution}</p>
						</Caution>
					</div>
				</div>
			)}
		</Page>
	);
}

// Items that stand in a job, looked at from the job of.
function Items({ job, of, ids }: { job: string; of: string; ids: string[] }) {
	const h = stock.head;
	const head = [h.item, h.angle, h.clr, h.left, h.price];
	return (
		<Figures title="" head={head} foot={stock.leftHint} test="stock">
			{ids.map((id) => {
				const figure = (field: string) => figureOf(job, `stock/${id}/${field}`);
				return (
					<tr key={id} data-test={`stock:${id}`}>
						<th scope="row">
							<button
								type="button"
								class="plain piece-way"
								data-test={`to-stock:${id}`}
								onClick={() => go({ screen: "item", job, slot: `stock/${id}` })}
							>
								<span>
									<strong>{titleOf(job, "stock", id)}</strong> ▸
									<span class="soft small laid-beside">{saidOf(job, id)}</span>
								</span>
							</button>
						</th>
						<td class="num">{figure("angle")}</td>
						<td class="num">{figure("clr") || figure("length")}</td>
						<td class="num" data-test={`left:${id}`}>
							<Left job={job} of={of} id={id} />
						</td>
						<td class="num">{figure("price")}</td>
					</tr>
				);
			})}
		</Figures>
	);
}

// How many there are, by the plan of the job from which it is looked at: as counted, less what was taken since.
function Left({ job, of, id }: { job: string; of: string; id: string }) {
	const { state } = known(job, `stock/${id}/on_hand`);
	if (state === "missing") return <span class="soft">{text.none}</span>;
	if (state === "disputed") return <Mark kind="disputed" />;
	const v = view.value?.job === of ? view.value : null;
	return <>{v?.plan.stock?.find((s) => s.id === id)?.left ?? ""}</>;
}

// What else there is to say of an item: what it is, its section, its legs, who sells it.
function saidOf(job: string, id: string): string {
	const of = (field: string) => word(job, `stock/${id}/${field}`);
	const figure = (field: string) => figureOf(job, `stock/${id}/${field}`);
	const legs = [figure("leg_a"), figure("leg_b")].filter((s) => s !== "");
	const form = of("form");
	const kind = [of("type") === "elbow" ? stock.isElbow : "", stock.forms[form] ?? (form || of("type"))];
	const isOpen = asksFor("stock", id, (s) => word(job, s)).some(
		(a) => a.field.required && known(job, a.slot).state === "missing",
	);
	return [
		isOpen ? stock.notAll : "",
		kind.filter((s) => s !== "").join(" "),
		of("offcut") === "yes" ? stock.offcut : "",
		of("material") || stock.noMaterial,
		stock.section(figure("od") || text.none, figure("wall") || text.none),
		legs.length > 0 ? stock.legs(legs.join(" + ")) : "",
		noteText(job, `stock/${id}/supplier`),
	]
		.filter((s) => s !== "")
		.join(", ");
}

// The figure in use of a slot, in the unit that is looked at; "" where there is none.
function figureOf(job: string, slot: string): string {
	const head = used(known(job, slot));
	if (head?.nm !== undefined) return length(head.nm / 1e6, units.value);
	if (head?.udeg !== undefined) return degrees(head.udeg / 1e6);
	if (head?.micro !== undefined) return (head.micro / 1e6).toFixed(2);
	return "";
}

import { addEntity, go, listOf, noteText, view } from "../lib/state";
import { stock } from "../lib/textstock";
import { Caution } from "../part/caution";
import { Figures } from "../part/figures";
import { known, titleOf, word } from "../part/known";
import { Page } from "../part/page";
import { Removed } from "../part/removed";
import { ViewSwitch } from "../part/viewswitch";

const TYPES = ["bend", "length", "elbow"] as const;

interface StockProps {
	job: string;
	id: string;
}

// The job from which the stock was opened, to lead back to; the stock itself is no job's.
let from = "";

// <Stock job="shop" id={…}> is what the shop cuts from: every item with its size, what is left of it and its price.
// Props: job (the shop's own), id (the job to lead back to, "" for where it was before).  Calls: addEntity, go.
export function Stock({ job, id }: StockProps) {
	if (id !== "") from = id;
	const v = view.value?.job === job ? view.value : null;
	const list = listOf(job, "stock");
	const own = from === "" ? [] : listOf(from, "stock");
	const add = async (type: (typeof TYPES)[number]) => {
		const added = await addEntity(job, "stock", "", { type }).catch(() => "");
		const first = type === "bend" ? "form" : "od";
		if (added !== "") go({ screen: "measure", job, slot: `stock/${added}/${first}` });
	};
	return (
		<Page
			title={stock.title}
			back={from === "" ? { screen: "jobs" } : { screen: "cuts", job: from }}
			extra={<ViewSwitch />}
			foot={
				<div class="row">
					{TYPES.map((t) => (
						<button
							key={t}
							type="button"
							class="primary grow"
							data-test={`add-stock:${t}`}
							onClick={() => add(t)}
						>
							{stock.add[t]}
						</button>
					))}
				</div>
			}
		>
			<div class={v?.stale ? "stale" : ""}>
				<div class="stack">
					<p class="soft">{list.length === 0 ? stock.none : stock.why}</p>
					{list.length > 0 && (
						<section class="card stack">
							<Items job={job} ids={list.map((e) => e.id)} />
						</section>
					)}
					<Removed job={job} kind="stock" parent="" />
					{own.length > 0 && (
						<section class="card stack" data-test="own-stock">
							<h2>{stock.ownTitle}</h2>
							<Items job={from} ids={own.map((e) => e.id)} />
						</section>
					)}
					<Caution>
						<p>{stock.caution}</p>
					</Caution>
				</div>
			</div>
		</Page>
	);
}

function Items({ job, ids }: { job: string; ids: string[] }) {
	const h = stock.head;
	const head = [h.item, h.angle, h.clr, h.left, h.price];
	return (
		<Figures title="" head={head} foot={stock.leftHint} test="stock">
			{ids.map((id) => {
				const of = (field: string) => word(job, `stock/${id}/${field}`);
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
						<td class="num">{of("angle")}</td>
						<td class="num">{of("clr") || of("length")}</td>
						<td class="num" data-test={`left:${id}`}>
							{leftOf(job, id)}
						</td>
						<td class="num">{of("price")}</td>
					</tr>
				);
			})}
		</Figures>
	);
}

// What else there is to say of an item: what it is, its section, its legs, who sells it.
function saidOf(job: string, id: string): string {
	const of = (field: string) => word(job, `stock/${id}/${field}`);
	const legs = [of("leg_a"), of("leg_b")].filter((s) => s !== "");
	return [
		of("form") || of("type"),
		of("offcut") === "yes" ? stock.offcut : "",
		of("material"),
		stock.section(of("od"), of("wall")),
		legs.length > 0 ? stock.legs(legs.join(" + ")) : "",
		noteText(job, `stock/${id}/supplier`),
	]
		.filter((s) => s !== "")
		.join(", ");
}

// How many there are: as counted, less what was taken from that very count; "" where none was counted. The plan says
// the same, of the one job that is open.
function leftOf(job: string, id: string): string {
	const counted = known(job, `stock/${id}/on_hand`);
	if (counted.state !== "agreed" && counted.state !== "chosen") return "";
	const uses = listOf(job, "use", id).filter((e) => word(job, `use/${e.id}/counted`) === counted.value);
	const taken = uses.reduce((sum, e) => sum + Number(word(job, `use/${e.id}/count`)), 0);
	return `${Math.max(0, Number(word(job, `stock/${id}/on_hand`)) - taken)}`;
}

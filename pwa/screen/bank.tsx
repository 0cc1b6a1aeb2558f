import { asksFor } from "../lib/fields";
import { addEntity, go, listOf } from "../lib/state";
import { text } from "../lib/text";
import { bank as bankWords } from "../lib/textbank";
import { BankDrawing } from "../part/bankdrawing";
import { Entity } from "../part/entity";
import { FieldCell } from "../part/fieldcell";
import { word } from "../part/known";
import { Page } from "../part/page";
import { Removed } from "../part/removed";

interface BankProps {
	job: string;
	id: string;
}

// <Bank job={…} id="A"> shows one bank: its drawing, the flange and its frame, bolts and ports.
// Props: job, id.  Calls: addEntity, go.
export function Bank({ job, id }: BankProps) {
	const banks = listOf(job, "bank");
	if (!banks.some((b) => b.id === id)) {
		return (
			<Page title={text.job.stepMeasure} back={{ screen: "job", job }}>
				<button
					type="button"
					class="primary"
					data-test="add-bank"
					onClick={() => addEntity(job, "bank", "", {}, { id }).catch(() => {})}
				>
					{bankWords.addBank}
				</button>
			</Page>
		);
	}
	const add = async (kind: "bolt" | "port" | "plug") => {
		const added = await addEntity(job, kind, id, {}).catch(() => "");
		const first = asksFor(kind, added, () => "")[0];
		if (added !== "" && first) go({ screen: "measure", job, slot: first.slot });
	};
	return (
		<Page
			title={bankWords.title(id)}
			back={{ screen: "job", job }}
			foot={
				<div class="row">
					<button type="button" class="primary grow" data-test="add-bolt" onClick={() => add("bolt")}>
						{bankWords.addBolt}
					</button>
					<button type="button" class="primary grow" data-test="add-port" onClick={() => add("port")}>
						{bankWords.addPort}
					</button>
					<button type="button" class="grow" data-test="add-plug" onClick={() => add("plug")}>
						{bankWords.addPlug}
					</button>
				</div>
			}
		>
			<div class="split">
				<div class="split-figure">
					<BankDrawing job={job} bank={id} tall />
				</div>
				<div class="stack">
					<section class="card stack">
						<div class="row">
							<h2 class="grow">{bankWords.flange}</h2>
							<button
								type="button"
								data-test="flange"
								onClick={() => go({ screen: "flange", job, id })}
							>{`${bankWords.flangeMade} ▸`}</button>
						</div>
						<div class="cells">
							{asksFor("bank", id, (s) => word(job, s)).map((ask) => (
								<FieldCell key={ask.slot} job={job} ask={ask} />
							))}
						</div>
					</section>
					<Entries job={job} bank={id} kind="bolt" title={bankWords.bolts} none={bankWords.noBolts} />
					<Entries job={job} bank={id} kind="port" title={bankWords.ports} none={bankWords.noPorts} />
					<Entries job={job} bank={id} kind="plug" title={bankWords.plugs} none={bankWords.noPlugs} />
				</div>
			</div>
		</Page>
	);
}

// The way to the points of a measured outline.
function RimButton({ job, port }: { job: string; port: string }) {
	return (
		<button
			type="button"
			class="sub"
			data-test={`rim:${port}`}
			onClick={() => go({ screen: "rim", job, slot: `port/${port}` })}
		>
			{`${bankWords.rim(listOf(job, "rim", port).length)} ▸`}
		</button>
	);
}

interface EntriesProps {
	job: string;
	bank: string;
	kind: string;
	title: string;
	none: string;
}

function Entries({ job, bank, kind, title, none }: EntriesProps) {
	const list = listOf(job, kind, bank);
	return (
		<section class="stack">
			<h2>{title}</h2>
			{list.length === 0 && <p class="soft">{none}</p>}
			<ul class="stack">
				{list.map((e) => (
					<Entity
						key={e.id}
						job={job}
						kind={kind}
						id={e.id}
						below={
							kind === "port" &&
							word(job, `port/${e.id}/shape`) === "points" && <RimButton job={job} port={e.id} />
						}
					/>
				))}
			</ul>
			<Removed job={job} kind={kind} parent={bank} />
		</section>
	);
}

import { useEffect, useState } from "preact/hooks";
import { Superseded } from "../lib/calc";
import { entryOf, type SheetEntry, type SheetList, sheetsOf } from "../lib/sheets";
import { go, listOf, view } from "../lib/state";
import { sheet } from "../lib/textsheet";
import { Caution } from "../part/caution";
import { Mark, type MarkKind } from "../part/mark";
import { Page } from "../part/page";
import { printOf } from "../part/printcheck";
import { SheetPage } from "../part/sheetpage";
import { ViewSwitch } from "../part/viewswitch";

interface SheetsProps {
	job: string;
	id: string;
}

// <Sheets job={…} id=""> lists the sheets of a job, those that cannot be made yet with the reason; with the key of a
// sheet it is the page of that sheet. They are listed anew when the job changes.
// Props: job, id (key of a sheet or "").  Calls: sheetsOf, go.
export function Sheets({ job, id }: SheetsProps) {
	const [list, setList] = useState<SheetList | null>(null);
	const [fault, setFault] = useState("");
	const hash = view.value?.job === job ? view.value.hash : "";
	// biome-ignore lint/correctness/useExhaustiveDependencies: hash stands for the records that are read
	useEffect(() => {
		let gone = false;
		sheetsOf(job).then(
			(l) => {
				if (gone) return;
				setList(l);
				setFault("");
			},
			(e: unknown) =>
				!gone && !(e instanceof Superseded) && setFault(e instanceof Error ? e.message : String(e)),
		);
		return () => {
			gone = true;
		};
	}, [job, hash]);
	const entry = list ? entryOf(list, id) : undefined;
	const back = id === "" ? { screen: "job", job } : { screen: "sheets", job };
	return (
		<Page title={id === "" ? sheet.title : (entry?.title ?? id)} back={back} extra={<ViewSwitch />}>
			<div class="stack">
				{fault !== "" && (
					<p class="fault" role="alert" data-test="sheets-fault">
						{sheet.cannot(fault)}
					</p>
				)}
				{!list && fault === "" && <p class="soft">{sheet.working}</p>}
				{list && id !== "" && !entry && <p class="soft">{sheet.gone}</p>}
				{list && entry && <SheetPage key={`${id} ${hash}`} job={job} entry={entry} sign={entry.sign} />}
				{list && id === "" && <List job={job} list={list} />}
				<Caution>
					<p>{sheet.caution}</p>
				</Caution>
			</div>
		</Page>
	);
}

const GROUPS: [string, string[]][] = [
	[sheet.group.size, ["sizing"]],
	[sheet.group.flange, ["flange", "ports"]],
	[sheet.group.end, ["dies", "transition"]],
	[sheet.group.pattern, ["pattern"]],
	[sheet.group.cut, ["cuts", "wheel", "wrap", "clock", "labels", "piecut", "saddle"]],
	[sheet.group.fixture, ["fixture", "base"]],
	[sheet.group.weld, ["weld"]],
];

function List({ job, list }: { job: string; list: SheetList }) {
	const of = (kinds: string[]) => list.sheets.filter((s) => kinds.includes(s.key.split("-")[0] ?? ""));
	return (
		<>
			{list.sheets.every((s) => s.key === "sizing") && <p class="card soft">{sheet.none}</p>}
			{GROUPS.map(([name, kinds]) =>
				of(kinds).length === 0 ? null : (
					<section class="stack" key={name}>
						<h2>{name}</h2>
						<ul class="stack">
							{of(kinds).map((s) => (
								<Row key={s.key} job={job} entry={s} sign={s.sign} />
							))}
						</ul>
					</section>
				),
			)}
			<section class="card stack">
				<h2>{sheet.read}</h2>
				<p class="soft">{sheet.readWhy}</p>
				<div class="row wrap">
					{listOf(job, "bank").map((b) => (
						<button
							key={b.id}
							type="button"
							data-test={`read-dxf:${b.id}`}
							onClick={() => go({ screen: "drawing", job, id: b.id })}
						>
							{sheet.readIn(b.id)}
						</button>
					))}
				</div>
			</section>
			<p class="soft small">{sheet.sign(list.inputs)}</p>
		</>
	);
}

function Row({ job, entry, sign }: { job: string; entry: SheetEntry; sign: string }) {
	if (entry.why !== "" && !entry.asks)
		return (
			<li class="card row" data-test={`unmade:${entry.key}`}>
				<Mark kind="missing" />
				<span class="grow">
					<strong>{entry.title}</strong>
					<span class="named-more soft">{entry.why}</span>
				</span>
			</li>
		);
	const print: { mark: MarkKind; words: string } = entry.not_to_scale
		? { mark: "note", words: sheet.unscaled }
		: printOf(job, entry.key, sign);
	return (
		<li>
			<button
				type="button"
				class="card step"
				data-test={`sheet:${entry.key}`}
				onClick={() => go({ screen: "sheets", job, id: entry.key })}
			>
				<Mark kind={print.mark} />
				<span class="grow">
					<strong>{entry.title}</strong>
					<span class="named-more soft small">{entry.forms.map((f) => f.toUpperCase()).join(" · ")}</span>
				</span>
				<span class="soft">{print.words}</span>
				<span class="act">▸</span>
			</button>
		</li>
	);
}

import { used } from "../lib/fields";
import { asRead, moment } from "../lib/say";
import { type Finding, go, listOf, units, view } from "../lib/state";
import { sheet } from "../lib/textsheet";
import { FindingRow } from "./finding";
import { known, word } from "./known";
import { Mark, type MarkKind } from "./mark";
import { now } from "./now";
import { Photos } from "./photos";
import { Resting } from "./resting";

const RULERS = ["across", "up"];

export interface PrintState {
	id: string; // "" where none was measured
	mark: MarkKind;
	words: string;
	finding?: Finding;
}

/** printOf tells how the last print of a sheet that was measured stands. Whether it is off scale the plan says. */
export function printOf(job: string, key: string, sign: string): PrintState {
	const t = sheet.check;
	const id =
		listOf(job, "print")
			.filter((p) => word(job, `print/${p.id}/sheet`) === key)
			.at(-1)?.id ?? "";
	const read = RULERS.map((r) => known(job, `print/${id}/${r}`).state);
	if (id === "" || read.includes("missing")) return { id, mark: "missing", words: t.none };
	if (read.includes("disputed")) return { id, mark: "disputed", words: t.disputed };
	const v = view.value;
	if (v?.job !== job || v.stale) return { id, mark: "note", words: t.waiting };
	const finding = v.plan.findings?.find((f) => f.rule === "print-off-scale" && f.where?.includes(id));
	if (finding) return { id, mark: "stop", words: t.bad, finding };
	if (word(job, `print/${id}/of`) !== sign) return { id, mark: "warn", words: t.stale };
	return { id, mark: "agreed", words: t.good };
}

interface PrintCheckProps {
	job: string;
	sheetKey: string;
	sign: string;
}

// <PrintCheck job={…} sheetKey="flange-A" sign="1f4e…"> asks for the rulers of a printed sheet and says whether it
// is good to cut by: who measured it and when, or what to do.
// Props: job, sheetKey, sign (of what the sheet is made from now).  Calls: go.
export function PrintCheck({ job, sheetKey, sign }: PrintCheckProps) {
	const t = sheet.check;
	const p = printOf(job, sheetKey, sign);
	const half = p.mark === "missing" && p.id !== "";
	const rulers = RULERS.map((r) => used(known(job, `print/${p.id}/${r}`)));
	const last = rulers[1];
	const start = () =>
		half
			? go({ screen: "measure", job, slot: `print/${p.id}/${rulers[0] ? "up" : "across"}` })
			: go({ screen: "measure", job, slot: "print/new/across", id: `${sheetKey} ${sign}` });
	const said = rulers.map((h) => asRead((h?.nm ?? 0) / 1e6, units.value));
	return (
		<section class="card stack" data-test="print-check" data-state={p.mark}>
			<h2>{t.title}</h2>
			<p class="row">
				<Mark kind={p.mark} />
				<strong>{p.words}</strong>
			</p>
			{p.mark === "agreed" && <p>{t.goodSay(said[0] ?? "", said[1] ?? "")}</p>}
			{p.mark === "warn" && <p>{t.staleSay(word(job, `print/${p.id}/of`))}</p>}
			{last && p.mark !== "missing" && <p class="soft">{t.by(last.person, moment(last.at, now.value))}</p>}
			{p.mark === "disputed" && <Resting job={job} slots={RULERS.map((r) => `print/${p.id}/${r}`)} />}
			{p.finding && (
				<>
					<ul>
						<FindingRow job={job} finding={p.finding} />
					</ul>
					<ul class="stack signs">
						{t.badDo.map((line) => (
							<li key={line}>{line}</li>
						))}
					</ul>
				</>
			)}
			<p class="soft">{t.why}</p>
			<p>{t.bears(sign)}</p>
			<Photos job={job} slot={`print/${sheetKey}/photo`} />
			<button
				type="button"
				class={p.mark === "agreed" ? "" : "primary"}
				data-test="measure-rulers"
				onClick={start}
			>
				{half ? t.half : p.id === "" ? t.start : t.anew}
			</button>
		</section>
	);
}

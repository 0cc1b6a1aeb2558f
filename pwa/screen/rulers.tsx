import { useEffect, useState } from "preact/hooks";
import { asked } from "../lib/fields";
import { asRead } from "../lib/say";
import {
	addEntity,
	type Form,
	go,
	keepReading,
	listOf,
	openForm,
	type ReadingInput,
	removeEntity,
	saveDraft,
	units,
} from "../lib/state";
import { text } from "../lib/text";
import { measure } from "../lib/textmeasure";
import { sheet } from "../lib/textsheet";
import { known, word } from "../part/known";
import { Readings } from "../part/readings";
import { RulerDrawing } from "../part/rulerdrawing";
import { SavedNote, tellSaved } from "../part/savednote";
import { TabWarning } from "../part/tabwarning";
import { Figure } from "./figure";

/** The rulers in the order in which they are measured. */
const RULERS = ["across", "up"] as const;

interface RulersProps {
	job: string;
	slot: string;
	of: string;
}

// <Rulers job={…} slot="print/new/across" of="flange-A 1f4e…"> takes the two rulers of a printed sheet. A print is
// there from its first figure on; before that it is named by its sheet and the sign that stands on it.
// Props: job, slot (print/ID/ruler, ID being new for one that is not there yet), of (sheet and sign of a new one).
// Calls: addEntity, keepReading, removeEntity (of earlier prints of the sheet), go.
export function Rulers({ job, slot, of }: RulersProps) {
	const [form, setForm] = useState<Form | null>(null);
	const [fault, setFault] = useState("");
	const [, id = "", ruler = ""] = slot.split("/");
	const isNew = id === "new";
	const [of0 = "", sign = ""] = of.split(" ");
	const key = isNew ? of0 : word(job, `print/${id}/sheet`);
	const asks = isNew ? `print/new-${key}/${ruler}` : slot;
	const ask = asked(asks);
	useEffect(() => {
		let gone = false;
		openForm(job, asks).then(
			(f) => !gone && setForm(f),
			(e: unknown) => setFault(measure.formError(String(e))),
		);
		return () => {
			gone = true;
		};
	}, [job, asks]);
	const back = () => go({ screen: "sheets", job, id: key });
	if (!ask) return <p class="fault">{measure.formError(slot)}</p>;
	const keep = async (r: ReadingInput, said: string) => {
		if (!form) return;
		let print = id;
		if (isNew) {
			print = await addEntity(job, "print", "", { sheet: key, of: sign, [ruler]: r });
			saveDraft(form.key, "");
		} else await keepReading(form, r);
		tellSaved(`${ask.field.label} ${said}`);
		// one print of a sheet counts, the last: paper that was off scale is thrown away
		for (const p of listOf(job, "print"))
			if (isNew && p.id !== print && word(job, `print/${p.id}/sheet`) === key)
				await removeEntity(job, "print", p.id);
		const next = RULERS.find((name) => known(job, `print/${print}/${name}`).state === "missing");
		if (next) go({ screen: "measure", job, slot: `print/${print}/${next}` });
		else back();
	};
	const t = sheet.check;
	return (
		<main class="page measure">
			<header class="page-head">
				<button type="button" class="plain back" data-test="back" onClick={back}>
					<svg viewBox="0 0 24 24" width="22" height="22" aria-hidden="true" focusable="false">
						<path d="M15 4 7 12l8 8" fill="none" stroke="currentColor" stroke-width="3" />
					</svg>
					{text.back}
				</button>
				<div class="grow">
					<p class="measure-owner">{key}</p>
					<h1>{ask.field.label}</h1>
				</div>
			</header>
			<TabWarning />
			<SavedNote />
			{fault !== "" && <p class="fault">{fault}</p>}
			{form && (
				<Figure
					job={job}
					ask={ask}
					form={form}
					onKeep={keep}
					onSkip={back}
					drawing={(mm) => <RulerDrawing asked={ruler} label={mm === null ? "?" : asRead(mm, units.value)} />}
					photo={`print/${key}/photo`}
					words={{ keep: ruler === "across" ? t.next : t.done, skip: t.later }}
				>
					<p class="soft">{t.bears(isNew ? sign : word(job, `print/${id}/of`))}</p>
					<p class="soft">{t.howLong}</p>
					{!isNew && <Readings job={job} slot={slot} />}
				</Figure>
			)}
		</main>
	);
}

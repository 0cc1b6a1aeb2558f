import { asked } from "../lib/fields";
import { asRead } from "../lib/say";
import {
	addEntity,
	go,
	keepReading,
	listOf,
	type ReadingInput,
	removeEntity,
	saveDraft,
	units,
} from "../lib/state";
import { measure } from "../lib/textmeasure";
import { sheet } from "../lib/textsheet";
import { Asking, useForm } from "../part/asking";
import { known, word } from "../part/known";
import { Readings } from "../part/readings";
import { RulerDrawing } from "../part/rulerdrawing";
import { tellSaved } from "../part/savednote";
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
	const [, id = "", ruler = ""] = slot.split("/");
	const isNew = id === "new";
	const [of0 = "", sign = ""] = of.split(" ");
	const key = isNew ? of0 : word(job, `print/${id}/sheet`);
	const asks = isNew ? `print/new-${key}/${ruler}` : slot;
	const ask = asked(asks);
	const { form, fault } = useForm(job, asks);
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
		<Asking owner={t.of(key)} title={ask.field.label} onBack={back} fault={fault}>
			{form && (
				<Figure
					job={job}
					ask={{ ...ask, field: { ...ask.field, help: t.howLong } }}
					form={form}
					onKeep={keep}
					onSkip={back}
					drawing={(mm) => <RulerDrawing asked={ruler} label={mm === null ? "?" : asRead(mm, units.value)} />}
					photo={`print/${key}/photo`}
					words={{ keep: ruler === "across" ? t.next : t.done, skip: t.later }}
				>
					<p class="soft">{t.bears(isNew ? sign : word(job, `print/${id}/of`))}</p>
					{!isNew && <Readings job={job} slot={slot} />}
				</Figure>
			)}
		</Asking>
	);
}

import { useState } from "preact/hooks";
import { asked } from "../lib/fields";
import { notSaved } from "../lib/say";
import { keepTogether } from "../lib/state";
import { inspect } from "../lib/textinspect";
import { Choices } from "../part/choices";
import { FieldCell } from "../part/fieldcell";
import { known, word } from "../part/known";
import { NoteRow } from "../part/noterow";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";
import { offerUndo } from "../part/undo";
import type { InspectPartProps } from "./inspect";

const t = inspect.leak;

// <InspectLeak job> is the leak test: whether it passed, at which pressure and how, with photos.
// Props: job.  Calls: keepTogether.
export function InspectLeak({ job }: InspectPartProps) {
	const [fault, setFault] = useState("");
	const slot = "hold/self/leak_test";
	const ask = asked(slot);
	if (!ask) return null;
	const state = known(job, slot).state;
	const method = asked("hold/self/leak_method");
	const pressure = asked("hold/self/leak_pressure");
	const pick = (w: string) => {
		setFault("");
		keepTogether(job, { [slot]: w }).then(
			(undo) => offerUndo(t.took(w), undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	return (
		<section class="card stack" data-test="group:leak">
			<h2>{inspect.groups.leak}</h2>
			{state === "disputed" ? (
				<FieldCell job={job} ask={ask} />
			) : (
				<Choices
					label={t.label}
					options={(ask.field.words ?? []).map((w) => ({ value: w, label: w }))}
					value={word(job, slot)}
					test="leak"
					onPick={pick}
				/>
			)}
			<div class="cells">
				{pressure && <FieldCell job={job} ask={pressure} />}
				{method && method.field.quantity !== "text" && <FieldCell job={job} ask={method} />}
			</div>
			{method?.field.quantity === "text" && (
				<NoteRow job={job} slot={method.slot} label={method.field.label} />
			)}
			<div class="row wrap">
				<PhotoButton job={job} slot={slot} what={t.label} />
				<Photos job={job} slot={slot} />
			</div>
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</section>
	);
}

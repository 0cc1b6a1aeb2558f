import { useEffect, useState } from "preact/hooks";
import { asked } from "../lib/fields";
import { both, notSaved } from "../lib/say";
import { choose, type Form, go, type Head, openForm, whereIs } from "../lib/state";
import { text } from "../lib/text";
import { Bars } from "../part/bars";
import { said as saidValue } from "../part/fieldcell";
import { known, ownerTitle } from "../part/known";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { said } from "../part/readings";
import { tellSaved } from "../part/savednote";
import { origin } from "./measure";

interface ChooseProps {
	job: string;
	slot: string;
}

// <Choose job={…} slot="port/p1/width"> puts readings that disagree side by side. A person picks one, or
// takes a new reading; none is lost.
// Props: job, slot.  Calls: openForm, choose, go.
export function Choose({ job, slot }: ChooseProps) {
	const [form, setForm] = useState<Form | null>(null);
	const [fault, setFault] = useState("");
	const ask = asked(slot);
	const state = known(job, slot);
	const shown = state.heads.map((h) => h.id).join();

	// The form names what was on the table when it opened; what arrives later opens it again.
	useEffect(() => {
		let gone = false;
		if (shown !== "")
			openForm(job, slot).then(
				(f) => !gone && setForm(f),
				(e: unknown) => !gone && setFault(text.measure.formError(String(e))),
			);
		return () => {
			gone = true;
		};
	}, [job, slot, shown]);

	if (!ask) return <p class="fault">{text.measure.formError(slot)}</p>;
	const pick = async (h: Head) => {
		if (!form) return;
		try {
			await choose(form, h.id);
			tellSaved(`${ask.field.label} ${saidValue(job, ask, h)}`);
			go(origin(job, ask));
		} catch (e) {
			setFault(notSaved(e));
		}
	};
	return (
		<Page
			title={`${ownerTitle(job, slot)} · ${ask.field.label}`}
			back={origin(job, ask)}
			foot={
				<button
					type="button"
					class="wide"
					data-test="new-reading"
					onClick={() => go({ screen: "measure", job, slot })}
				>
					{text.choose.again}
				</button>
			}
		>
			<p class="row">
				<Mark kind={state.state} />
				<strong>{state.state === "disputed" ? text.choose.title : text.choose.settled}</strong>
			</p>
			<p class="soft">{text.choose.why}</p>
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
			<ul class="choose">
				{state.heads.map((h) => (
					<li key={h.id} class="card stack">
						<strong class="choose-value">{saidValue(job, ask, h)}</strong>
						<span>{both(h)}</span>
						<span class="soft">{said(h).replace(`${both(h)} · `, "")}</span>
						<Bars at={whereIs(h.id)} />
						<button
							type="button"
							class="primary"
							data-test={`choose:${h.id}`}
							disabled={!form}
							onClick={() => pick(h)}
						>
							{text.choose.pick}
						</button>
					</li>
				))}
			</ul>
		</Page>
	);
}

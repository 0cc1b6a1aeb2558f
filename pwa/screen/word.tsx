import { useState } from "preact/hooks";
import { type Asked, parentOf } from "../lib/fields";
import { notSaved } from "../lib/say";
import { type ListItem, listOf, saveDraft } from "../lib/state";
import { text } from "../lib/text";
import { measure } from "../lib/textmeasure";
import { BankDrawing } from "../part/bankdrawing";
import { type Choice, Choices } from "../part/choices";
import { bankOf, titleOf, word } from "../part/known";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";
import { Readings } from "../part/readings";
import type { EntryProps } from "./entry";

// <Word job ask form onKeep onSkip> takes a word: one of a few large buttons, an entry of a list, or, where
// other words are allowed, typed text.
// Props: job, ask, form.  Calls: saveDraft, onKeep once per tap, onSkip.
export function Word({ job, ask, form, onKeep, onSkip }: EntryProps) {
	const { field, slot } = ask;
	const options = optionsFor(job, ask);
	const now = form.draft || word(job, slot);
	const [picked, setPicked] = useState(now);
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");
	const isListed = options.some((o) => o.value === picked);
	const canType = field.open === true || (!field.words && !field.refs);
	const pick = (w: string) => {
		setPicked(w);
		setFault("");
		saveDraft(form.key, w, form);
	};
	const keep = async () => {
		const w = picked.trim();
		if (w === "" || busy) return;
		setBusy(true);
		try {
			const said = options.find((o) => o.value === w)?.label ?? w;
			await onKeep({ text: w, unit: "word", v: 0, res: 0, quantity: "word", tool: "" }, said);
		} catch (e) {
			setFault(notSaved(e));
		}
		setBusy(false);
	};
	const hasDrawing = ["port", "bank", "bolt"].includes(ask.kind) || field.refs?.includes("bolt") === true;
	return (
		<form
			class="measure-body"
			onSubmit={(e) => {
				e.preventDefault();
				keep();
			}}
		>
			<div class="measure-look">
				{hasDrawing && (
					<div class="sheet">
						<BankDrawing job={job} bank={bankOf(job, ask.kind, ask.id)} trial={{ slot, mm: null }} />
					</div>
				)}
				{field.help && <p class="help">{field.help}</p>}
				<Photos job={job} slot={slot} />
				<Readings job={job} slot={slot} />
			</div>
			<div class="measure-type">
				{field.refs && options.length === 0 && <p class="soft">{measure.noChoice(field.refs)}</p>}
				<Choices label={field.label} options={options} value={picked} onPick={pick} />
				{canType && (
					<label class="stack">
						<span class="cell-label">{options.length > 0 ? measure.other : field.label}</span>
						<input
							type="text"
							autoComplete="off"
							data-test="typed"
							value={isListed ? "" : picked}
							onInput={(e) => pick(e.currentTarget.value)}
						/>
					</label>
				)}
				{fault !== "" && (
					<p class="fault" role="alert" data-test="not-saved">
						{fault}
					</p>
				)}
				<div class="keep-row">
					<button type="button" class="skip" data-test="skip" onClick={onSkip}>
						{measure.skip}
					</button>
					<PhotoButton job={job} slot={slot} of={form.name} />
					<button type="submit" class="primary keep" data-test="keep" disabled={picked.trim() === "" || busy}>
						{busy ? measure.saving : text.keep}
					</button>
				</div>
			</div>
		</form>
	);
}

// The words of the field, and the entries that it can name: bolts of the same bank, ports of any, but not what
// it belongs to itself. With two banks the bank is said too.
function optionsFor(job: string, ask: Asked): Choice[] {
	const { field } = ask;
	const words = (field.words ?? []).map((w) => ({ value: w, label: measure.words[w] ?? w }));
	const own = [ask.id, listOf(job, ask.kind).find((e) => e.id === ask.id)?.parent];
	const hasTwo = listOf(job, "bank").length > 1;
	const named = (field.refs ?? []).flatMap((ref) => {
		const bank = ask.kind === "bank" ? bankOf(job, ask.kind, ask.id) : undefined;
		return listOf(job, ref, bank)
			.filter((e) => !own.includes(e.id))
			.map((e) => ({ value: e.id, label: labelOf(job, ref, e, hasTwo && bank === undefined) }));
	});
	return [...named, ...words];
}

function labelOf(job: string, kind: string, e: ListItem, withBank: boolean): string {
	const title = titleOf(job, kind, e.id);
	return withBank && parentOf(kind) === "bank" && e.parent
		? measure.inBank(title, titleOf(job, "bank", e.parent))
		: title;
}

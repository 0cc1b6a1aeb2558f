import { useEffect, useState } from "preact/hooks";
import { notSaved } from "../lib/say";
import { type Form, keepNote, noteText, openForm, saveDraft } from "../lib/state";
import { text } from "../lib/text";

interface NoteRowProps {
	job: string;
	slot: string;
	label: string;
	help?: string | undefined;
	check?: (typed: string) => string;
}

// <NoteRow job={…} slot="job/self/name" label="Name"> is a line of text that anybody may change; the
// latest is shown. What is half typed survives the page.
// Props: job, slot, label, help, check (returns what is wrong, or "").  Calls: openForm, saveDraft, keepNote.
export function NoteRow({ job, slot, label, help, check }: NoteRowProps) {
	const stored = noteText(job, slot);
	const [form, setForm] = useState<Form | null>(null);
	const [typed, setTyped] = useState<string | null>(null);
	const [fault, setFault] = useState("");

	useEffect(() => {
		let gone = false;
		openForm(job, slot).then((f) => {
			if (gone) return;
			setForm(f);
			if (f.draft !== "") setTyped(f.draft);
		});
		return () => {
			gone = true;
		};
	}, [job, slot]);

	const open = typed !== null && typed !== stored;
	const keep = async () => {
		if (typed === null) return;
		const wrong = typed === "" ? "" : (check?.(typed) ?? "");
		setFault(wrong);
		if (wrong !== "") return;
		await keepNote(job, slot, typed).then(
			() => setTyped((now) => (now === typed ? null : now)), // more was typed meanwhile: it stays
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	return (
		<form
			class="note-row"
			onSubmit={(e) => {
				e.preventDefault();
				keep();
			}}
		>
			<label>
				<span class="cell-label">{label}</span>
				<input
					type="text"
					autoComplete="off"
					data-test={`note:${slot}`}
					value={typed ?? stored}
					onInput={(e) => {
						setTyped(e.currentTarget.value);
						setFault("");
						if (form) saveDraft(form.key, e.currentTarget.value);
					}}
				/>
			</label>
			{open && (
				<span class="row">
					<button type="submit" class="primary" data-test={`note-keep:${slot}`}>
						{text.keep}
					</button>
					<button
						type="button"
						onClick={() => {
							if (form) saveDraft(form.key, "");
							setTyped(null);
							setFault("");
						}}
					>
						{text.cancel}
					</button>
				</span>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
			{help && <p class="soft small">{help}</p>}
		</form>
	);
}

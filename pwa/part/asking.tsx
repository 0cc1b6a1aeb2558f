import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { type Form, openForm } from "../lib/state";
import { measure } from "../lib/textmeasure";
import { Back } from "./back";
import { SavedNote } from "./savednote";
import { TabWarning } from "./tabwarning";

interface AskingProps {
	owner: string;
	title: string;
	onBack: () => void;
	fault: string;
	extra?: ComponentChildren;
	class?: string;
	children: ComponentChildren;
}

// <Asking owner="Port 3" title="Port width" onBack={…} fault=""> is the frame of a page that asks for one thing: what
// it belongs to, what it is, and below that what the page takes it by.
// Props: owner, title, onBack, fault (why it cannot be asked for), extra (right of the title), class, children.
// Calls: onBack.
export function Asking({ owner, title, onBack, fault, extra, class: also = "", children }: AskingProps) {
	return (
		<main class={`page measure ${also}`}>
			<header class="page-head">
				<Back onBack={onBack} />
				<div class="grow">
					<p class="measure-owner">{owner}</p>
					<h1 data-test="asks">{title}</h1>
				</div>
				{extra}
			</header>
			<TabWarning />
			<SavedNote />
			{fault !== "" && <p class="fault">{fault}</p>}
			{children}
		</main>
	);
}

/** useForm opens the form of a slot; until it is open, or where it cannot be opened, there is none. */
export function useForm(job: string, slot: string): { form: Form | null; fault: string } {
	const [form, setForm] = useState<Form | null>(null);
	const [fault, setFault] = useState("");
	useEffect(() => {
		let gone = false;
		openForm(job, slot).then(
			(f) => !gone && setForm(f),
			(e: unknown) => !gone && setFault(measure.formError(String(e))),
		);
		return () => {
			gone = true;
		};
	}, [job, slot]);
	return { form, fault };
}

import { type Asked, used } from "../lib/fields";
import { inView, typed } from "../lib/say";
import { go, listOf, units } from "../lib/state";
import { text } from "../lib/text";
import { measure } from "../lib/textmeasure";
import type { Head, SlotView } from "../lib/types";
import { known, titleOf } from "./known";
import { Mark } from "./mark";
import { chooseRoute } from "./resting";

interface FieldCellProps {
	job: string;
	ask: Asked;
}

// <FieldCell job={…} ask={…}> is one slot in a list: label, mark and what is known of it. A tap opens the
// slot for measuring, or for choosing where readings disagree.
// Props: job, ask (slot and field).  Calls: go.
export function FieldCell({ job, ask }: FieldCellProps) {
	const slot = known(job, ask.slot);
	const state = slot.state;
	const optional = state === "missing" && !ask.field.required;
	return (
		<button
			type="button"
			class={`cell cell-${state} ${optional ? "cell-optional" : ""}`}
			data-test={`field:${ask.slot}`}
			data-state={state}
			onClick={() =>
				go(state === "disputed" ? chooseRoute(job, ask.slot) : { screen: "measure", job, slot: ask.slot })
			}
		>
			<span class="cell-label">{ask.field.label}</span>
			<span class="cell-value">
				<Mark kind={state} />
				<CellValue job={job} ask={ask} slot={slot} />
			</span>
		</button>
	);
}

function CellValue({ job, ask, slot }: { job: string; ask: Asked; slot: SlotView }) {
	const head = used(slot);
	if (!head) return <span class="soft">{text.none}</span>;
	if (slot.state === "disputed") {
		return (
			<span class="cell-two">
				{slot.heads.map((h) => (
					<span key={h.id}>{said(job, ask, h)}</span>
				))}
			</span>
		);
	}
	const other = inView(head, units.value);
	return (
		<span class="cell-figure">
			{said(job, ask, head)}
			{other !== "" && <span class="soft small"> {other}</span>}
		</span>
	);
}

/** said is a reading as typed; the id of an entity becomes its name, a word what is chosen by it. */
export function said(job: string, ask: Asked, head: Head): string {
	const ref = ask.field.refs?.find((kind) => listOf(job, kind).some((e) => e.id === head.text));
	if (ref) return titleOf(job, ref, head.text);
	// the corners of an outside edge are nothing to read
	if (ask.field.name === "path") return measure.words.drawn ?? "";
	const s = head.unit === "word" ? (measure.words[head.text] ?? head.text) : typed(head);
	return ask.field.quantity === "number" && ask.field.unit ? `${s} ${ask.field.unit}` : s;
}

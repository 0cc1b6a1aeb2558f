import { asksFor, isRare, notesOf } from "../lib/fields";
import { bank } from "../lib/textbank";
import { FieldCell } from "./fieldcell";
import { known, word } from "./known";
import { NoteRow } from "./noterow";

interface CellsProps {
	job: string;
	kind: string;
	id: string;
	leave?: string[];
}

// <Cells job={…} kind="tube" id="t1"> are the fields of one entry: its notes as lines of text, what is read as
// cells; what few jobs need stands behind "more" until it has a value.
// Props: job, kind, id, leave (fields not to show).  Calls: what its rows and cells call.
export function Cells({ job, kind, id, leave = [] }: CellsProps) {
	const asks = asksFor(kind, id, (slot) => word(job, slot)).filter((a) => !leave.includes(a.field.name));
	const isOpen = (slot: string) => known(job, slot).state === "missing";
	const behind = asks.filter(
		(a) => isRare(kind, a.field.name) && (a.field.name === "number" || isOpen(a.slot)),
	);
	const front = asks.filter((a) => !behind.includes(a));
	return (
		<>
			{notesOf(kind).map((f) => (
				<NoteRow key={f.name} job={job} slot={`${kind}/${id}/${f.name}`} label={f.label} help={f.help} />
			))}
			<div class="cells">
				{front.map((a) => (
					<FieldCell key={a.slot} job={job} ask={a} />
				))}
			</div>
			{behind.length > 0 && (
				<details class="removed more">
					<summary data-test={`more:${kind}/${id}`}>{bank.more(behind.length)}</summary>
					<div class="cells">
						{behind.map((a) => (
							<FieldCell key={a.slot} job={job} ask={a} />
						))}
					</div>
				</details>
			)}
		</>
	);
}

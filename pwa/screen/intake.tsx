import { asksFor, jobField, kinds } from "../lib/fields";
import { isDate } from "../lib/say";
import { keepNote, noteText } from "../lib/state";
import { text } from "../lib/text";
import { Choices } from "../part/choices";
import { FieldCell } from "../part/fieldcell";
import { word } from "../part/known";
import { NoteRow } from "../part/noterow";
import { Page } from "../part/page";
import { leftSizing } from "../part/sizingway";

// <Intake job={…}> takes what is asked before any measuring: the job's notes, engine data, target and saw.
// Props: job.  Calls: keepNote; the rows call what they call.
export function Intake({ job }: { job: string }) {
	leftSizing();
	const use = jobField("use");
	const day = (typed: string) => (isDate(typed) ? "" : text.intake.badDate(typed));
	return (
		<Page title={text.intake.title} back={{ screen: "job", job }}>
			<div class="columns">
				<section class="card stack">
					<h2>{text.intake.notes}</h2>
					<NoteRow job={job} slot="job/self/name" label={label("name")} help={jobField("name")?.help} />
					<NoteRow
						job={job}
						slot="job/self/customer"
						label={label("customer")}
						help={jobField("customer")?.help}
					/>
					<NoteRow job={job} slot="job/self/due" label={text.intake.due} check={day} />
					<div class="stack">
						<span class="cell-label">{label("use")}</span>
						<Choices
							label={label("use")}
							options={(use?.words ?? []).map((w) => ({ value: w, label: w }))}
							value={noteText(job, "job/self/use")}
							test="use"
							onPick={(w) => keepNote(job, "job/self/use", w).catch(() => {})}
						/>
					</div>
				</section>
				{["engine", "target", "shop"].map((kind) => (
					<section key={kind} class="card stack">
						<h2>{kinds[kind]?.label}</h2>
						<div class="cells">
							{asksFor(kind, "self", (s) => word(job, s)).map((ask) => (
								<FieldCell key={ask.slot} job={job} ask={ask} />
							))}
						</div>
					</section>
				))}
			</div>
		</Page>
	);
}

const label = (name: string) => jobField(name)?.label ?? name;

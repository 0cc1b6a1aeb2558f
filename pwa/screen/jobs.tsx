import { useRef, useState } from "preact/hooks";
import { notSaved } from "../lib/say";
import {
	addEntity,
	go,
	type JobSummary,
	jobs,
	keepNote,
	newJob,
	readDraft,
	ready,
	saveDraft,
} from "../lib/state";
import { text } from "../lib/text";
import { focus } from "../part/focus";
import { Mark, type MarkKind } from "../part/mark";
import { Page } from "../part/page";
import { stages } from "../part/stages";

const DRAFT = "new-job";

// <Jobs> lists the jobs on this tablet and starts new ones.
// Props: none.  Calls: newJob, addEntity (the first bank), keepNote (the stage), go.
export function Jobs() {
	const [name, setName] = useState<string | null>(readDraft(DRAFT) || null);
	const [fault, setFault] = useState("");
	const begun = useRef({ name: "", job: "" }); // by a try whose second half was not saved
	const start = async () => {
		const typed = (name ?? "").trim();
		if (typed === "") return;
		try {
			if (begun.current.name !== typed) begun.current = { name: typed, job: await newJob(typed) };
			const { job } = begun.current;
			await addEntity(job, "bank", "", {}, { id: "A" });
			await keepNote(job, "job/self/stage", stages[0] ?? "");
			saveDraft(DRAFT, "");
			go({ screen: "job", job });
		} catch (e) {
			setFault(notSaved(e));
		}
	};
	const foot =
		name === null ? (
			<button type="button" class="primary wide" data-test="new-job" onClick={() => setName("")}>
				{text.jobs.create}
			</button>
		) : (
			<form
				class="new-job"
				onSubmit={(e) => {
					e.preventDefault();
					start();
				}}
			>
				<label class="grow">
					<span class="cell-label">{text.jobs.name}</span>
					<input
						type="text"
						autoComplete="off"
						data-test="new-job-name"
						placeholder={text.jobs.namePlaceholder}
						value={name}
						ref={focus}
						onInput={(e) => {
							setName(e.currentTarget.value);
							saveDraft(DRAFT, e.currentTarget.value);
						}}
					/>
				</label>
				<button type="submit" class="primary" data-test="new-job-start">
					{text.jobs.start}
				</button>
				<button
					type="button"
					onClick={() => {
						saveDraft(DRAFT, "");
						setName(null);
					}}
				>
					{text.jobs.never}
				</button>
				{fault !== "" && (
					<p class="fault" role="alert">
						{fault}
					</p>
				)}
			</form>
		);
	return (
		<Page title={text.jobs.title} foot={foot}>
			{!ready.value && <p class="soft">{text.loading}</p>}
			{ready.value && jobs.value.length === 0 && <p class="soft">{text.jobs.empty}</p>}
			<ul class="stack">
				{jobs.value.map((j) => (
					<JobRow key={j.id} job={j} />
				))}
			</ul>
		</Page>
	);
}

// <JobRow job={…}> is one job of the list: name, stage, due, what blocks it and what is open.
// Props: job.  Calls: go.
function JobRow({ job }: { job: JobSummary }) {
	const counts: [MarkKind, number | null, (n: number) => string][] = [
		["disputed", job.disputed, text.jobs.disputed],
		["stop", job.stops, text.jobs.stops],
		["warn", job.warnings, text.jobs.warnings],
		["missing", job.missing, text.jobs.missing],
	];
	const open = counts.filter(([, n]) => n !== null && n > 0);
	return (
		<li>
			<button
				type="button"
				class="card job-row"
				data-test="job-row"
				data-job={job.id}
				onClick={() => go({ screen: "job", job: job.id })}
			>
				<span class="row">
					<strong class="grow job-name">{job.name || text.jobs.noName}</strong>
					<span class="stage-word">{job.stage || text.jobs.noStage}</span>
					{job.due !== "" && <span class="soft">{text.jobs.due(job.due)}</span>}
				</span>
				{job.blocked !== "" && <span class="blocked">{text.jobs.blocked(job.blocked)}</span>}
				<span class="row wrap counts">
					{open.map(([kind, n, say]) => (
						<span class="row count" key={kind}>
							<Mark kind={kind} />
							{say(n ?? 0)}
						</span>
					))}
					{open.length === 0 && job.missing !== null && <span class="soft">{text.jobs.clear}</span>}
				</span>
			</button>
		</li>
	);
}

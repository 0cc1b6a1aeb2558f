import { useState } from "preact/hooks";
import { type Asked, asksFor, used } from "../lib/fields";
import { photosOf } from "../lib/photos";
import { moment, notSaved } from "../lib/say";
import { keepTogether, takeOut } from "../lib/state";
import { weld } from "../lib/textweld";
import { FieldCell } from "../part/fieldcell";
import { holdPoints } from "../part/holdpoints";
import { known, word } from "../part/known";
import { Mark } from "../part/mark";
import { NoteRow } from "../part/noterow";
import { now } from "../part/now";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";

const t = weld.holds;

// <WeldHolds job={…}> are the points at which work is held: passed or failed, by whom and when, with photos.
// Props: job.  Calls: what its cards call.
export function WeldHolds({ job }: { job: string }) {
	const points = holdPoints(job);
	const leak = asksFor("hold", "self", (s) => word(job, s)).filter(
		(a) => a.field.name.startsWith("leak_") && !points.includes(a) && !a.field.words?.includes("passed"),
	);
	const passed = points.filter((a) => word(job, a.slot) === "passed").length;
	return (
		<>
			<section class="card stack" data-test="holds" data-passed={passed}>
				<p>{t.why}</p>
				<p class="row">
					<Mark kind={passed === points.length ? "agreed" : "missing"} />
					<strong>{t.count(passed, points.length)}</strong>
				</p>
			</section>
			{points.map((a) => (
				<HoldCard key={a.slot} job={job} ask={a} />
			))}
			<section class="card stack">
				<h2>{t.leak}</h2>
				<div class="cells">
					{leak.map((a) => (
						<FieldCell key={a.slot} job={job} ask={a} />
					))}
				</div>
				<NoteRow job={job} slot="hold/self/notes" label={t.notes} />
			</section>
		</>
	);
}

function HoldCard({ job, ask }: { job: string; ask: Asked }) {
	const [fault, setFault] = useState("");
	const { slot, field } = ask;
	const at = known(job, slot);
	const head = used(at);
	const state = head?.text ?? "";
	const set = (value: string) => {
		setFault("");
		// said in plain sight, and taken back by the same key: a notice over the next one would only be in the way
		const act = value === state ? takeOut(job, [slot]) : keepTogether(job, { [slot]: value });
		act.catch((e: unknown) => setFault(notSaved(e)));
	};
	if (at.state === "disputed") return <FieldCell job={job} ask={ask} />;
	return (
		<section class="card stack" data-test={`hold:${field.name}`} data-state={state}>
			<p class="row wrap">
				<Mark kind={state === "passed" ? "agreed" : state === "failed" ? "stop" : "missing"} />
				<strong class="grow joint-hold">{field.label}</strong>
			</p>
			{/* lines that stay, whatever is said: the next point must not move under a finger */}
			<p class="soft" data-test={`hold-by:${field.name}`}>
				{head ? `${state}: ${t.by(head.person, moment(head.at, now.value))}` : t.open}
			</p>
			<p class="soft">{field.help}</p>
			<div class="row wrap">
				{(["passed", "failed"] as const).map((v) => (
					<button
						key={v}
						type="button"
						class={v === state ? "grow picked" : "grow"}
						aria-pressed={v === state}
						data-test={`${v}:${field.name}`}
						onClick={() => set(v)}
					>
						{v === "passed" ? "✓" : "✕"} {t[v]}
					</button>
				))}
				<PhotoButton job={job} slot={slot} what={t.photo(field.label)} />
			</div>
			<Photos job={job} slot={slot} />
			{photosOf(job, slot).length === 0 && (
				<p class="row small" data-test={`no-photo:${field.name}`}>
					<Mark kind="note" />
					{t.noPhoto}
				</p>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</section>
	);
}

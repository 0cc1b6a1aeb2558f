import { useState } from "preact/hooks";
import { kinds, type Step as StepName, stepOf } from "../lib/fields";
import { MOMENTS, readSlots } from "../lib/inspect";
import { length } from "../lib/say";
import { go, jobs, keepNote, listOf, noteText, type Route, stageOf, units, view } from "../lib/state";
import { text } from "../lib/text";
import { bank } from "../lib/textbank";
import { choose } from "../lib/textchoose";
import { Choices } from "../part/choices";
import { cutsLook } from "../part/cutslook";
import { holdPoints } from "../part/holdpoints";
import { JobPhotosCard } from "../part/jobphotos";
import { known, word } from "../part/known";
import { Mark, type MarkKind } from "../part/mark";
import { NoteRow } from "../part/noterow";
import { Page } from "../part/page";
import { RecordPackCard } from "../part/recordpack";
import { Stages, stages } from "../part/stages";
import { todoRoute, todoWords } from "./measure";

// <Job job={…}> is the front of a job: its stage, what blocks it, what is open with the way to it, and the
// steps with how far each is.
// Props: job.  Calls: go, keepNote (stage).
export function Job({ job }: { job: string }) {
	const [picking, setPicking] = useState(false);
	const v = view.value?.job === job ? view.value : null;
	const sum = jobs.value.find((j) => j.id === job);
	const stage = noteText(job, "job/self/stage");
	const due = noteText(job, "job/self/due");
	const disputed = v
		? (v.plan.findings ?? []).filter((f) => f.rule === "disputed").length
		: (sum?.disputed ?? null);
	const stops = v
		? (v.plan.findings ?? []).filter((f) => f.severity === "stop" && f.rule !== "disputed").length
		: (sum?.stops ?? null);
	const warnings = v
		? (v.plan.findings ?? []).filter((f) => f.severity === "warn").length
		: (sum?.warnings ?? null);
	const missing = v ? v.todo.length : (sum?.missing ?? null);
	const first = v?.todo[0];
	const look = cutsLook(job);
	// a dispute stands before the cut list
	const onward: Route = first
		? todoRoute(job, first.slot)
		: disputed
			? { screen: "list", job, id: "disputed" }
			: { screen: "result", job };
	return (
		<Page
			title={noteText(job, "job/self/name") || text.jobs.noName}
			back={{ screen: "jobs" }}
			extra={due === "" ? null : <span class="soft">{text.jobs.due(due)}</span>}
			foot={
				<button
					type="button"
					class="primary wide"
					data-test="go-on"
					disabled={v === null}
					onClick={() => go(onward)}
				>
					{v === null
						? text.status.calcBusy
						: first
							? `${text.job.goOn}: ${todoWords(first)}`
							: `${text.job.goOn}: ${disputed ? text.job.disputed(disputed) : text.job.stepResult}`}
				</button>
			}
		>
			<section class="card stack">
				<div class="row">
					<div class="grow">
						<Stages stage={stage} />
					</div>
					<button
						type="button"
						data-test="pick-stage"
						onClick={() => setPicking(!picking)}
						aria-expanded={picking}
					>
						{text.job.pickStage}
					</button>
				</div>
				{picking && Boolean(disputed) && (
					<p class="row" data-test="no-release">
						<Mark kind="disputed" />
						{choose.noRelease}
					</p>
				)}
				{picking && (
					<Choices
						label={text.job.stage}
						options={stages.map((w, i) => ({
							value: w,
							label: w,
							off: Boolean(disputed) && i >= stages.indexOf("cut") && w !== stage,
						}))}
						value={stage}
						test="stage"
						onPick={(w) =>
							keepNote(job, "job/self/stage", w).then(
								() => setPicking(false),
								() => {},
							)
						}
					/>
				)}
				<NoteRow job={job} slot="job/self/blocked" label={text.job.blockedBy} />
			</section>
			<section class="card open-list">
				<OpenRow
					n={missing}
					kind="missing"
					words={(n) => (n > 0 ? text.job.toMeasure(n) : text.job.allMeasured)}
					act={text.job.list}
					to={{ screen: "list", job }}
					stays
					test="open-measure"
				/>
				<OpenRow
					n={disputed}
					kind="disputed"
					words={text.job.disputed}
					act={text.job.choose}
					to={{ screen: "list", job, id: "disputed" }}
					test="open-disputed"
				/>
				<OpenRow
					n={stops}
					kind="stop"
					words={text.job.stops}
					act={text.job.look}
					to={{ screen: "result", job, id: "findings" }}
					test="open-stops"
				/>
				<OpenRow
					n={warnings}
					kind="warn"
					words={text.job.warnings}
					act={text.job.look}
					to={{ screen: "result", job, id: "findings" }}
					test="open-warnings"
				/>
				{look && (
					<OpenRow
						n={look.n}
						kind="warn"
						words={() => look.words}
						act={text.job.look}
						to={{ screen: "cuts", job }}
						stays
						test="open-cuts"
					/>
				)}
			</section>
			<Steps job={job} mark={stops ? "stop" : disputed ? "disputed" : warnings ? "warn" : undefined} />
			<JobPhotosCard job={job} />
			<RecordPackCard job={job} />
		</Page>
	);
}

interface OpenRowProps {
	n: number | null; // open; null before it is worked out, which is not none
	kind: MarkKind; // of open ones
	words: (n: number) => string;
	act: string;
	to: Route;
	stays?: boolean; // leads on with nothing open too
	test: string;
}

function OpenRow({ n, kind, words, act, to, stays = false, test }: OpenRowProps) {
	const leads = stays || Boolean(n);
	return (
		<button type="button" class="open-row" disabled={!leads} data-test={test} onClick={() => go(to)}>
			<Mark kind={n === null ? "missing" : n > 0 ? kind : "agreed"} />
			<span class="grow">{n === null ? text.status.calcBusy : words(n)}</span>
			{leads && <span class="act">{act} ▸</span>}
		</button>
	);
}

const AROUND = Object.keys(kinds).filter((k) => stepOf(k) === "around");

// <Steps job={…}> lists the steps of the job, each with what is open in it.
// Props: job.  Calls: go.
function Steps({ job, mark }: { job: string; mark: MarkKind | undefined }) {
	const v = view.value?.job === job ? view.value : null;
	const open = (step: StepName) => (v ? v.todo.filter((t) => stepOf(t.slot) === step).length : null);
	const tubes = listOf(job, "tube").length;
	const banks = listOf(job, "bank");
	const hasAround = AROUND.some((k) => listOf(job, k).length > 0);
	const computed = (v?.plan.tubes ?? []).filter((t) => (t.pieces ?? []).length > 0).length;
	const designed = banks.length > 0 && v?.plan.flanges?.every((f) => f.design) === true;
	const pieces = (v?.plan.tubes ?? []).flatMap((t) => t.pieces ?? []);
	const isCut = (p: { element: string }) => stageOf(job, p.element) !== "";
	const cut = pieces.filter(isCut).length;
	const held = listOf(job, "station").map((s) => s.id);
	const stations = held.length;
	const checked = held.filter((id) => word(job, `station/${id}/checked`) === "yes").length;
	const fixture = text.job.fixture;
	const points = holdPoints(job);
	const heldBy = points.filter((a) => word(job, a.slot) === "passed").length;
	const failed = points.find((a) => word(job, a.slot) === "failed");
	const reads = tubes === 0 ? [] : MOMENTS.flatMap((at) => readSlots(job, at));
	const read = reads.filter((slot) => known(job, slot).state !== "missing").length;
	const inspect = text.job.inspect;
	const decided = v?.plan.decided;
	const sizeOf = (mm: number) => length(mm, units.value);
	const none = (words: string, n: number | null) => (n ? `${words}, ${text.job.open(n)}` : words);
	const state = (n: number | null) => (n === null ? "" : n > 0 ? text.job.open(n) : text.job.done);
	return (
		<nav class="stack" aria-label={text.job.steps}>
			<Step
				test="step-intake"
				name={text.job.stepIntake}
				n={open("intake")}
				say={state(open("intake"))}
				to={{ screen: "intake", job }}
			/>
			<Step
				test="step-measure"
				name={text.job.stepMeasure}
				n={open("measure")}
				say={state(open("measure"))}
				to={{ screen: "bank", job, id: banks[0]?.id ?? "A" }}
			/>
			<Step
				test="step-flange"
				name={bank.flange}
				n={designed ? 0 : 1}
				say={designed ? text.job.done : text.job.cannotYet}
				to={{ screen: "flange", job, id: banks[0]?.id ?? "A" }}
			/>
			<Step
				test="step-around"
				name={text.job.stepAround}
				n={hasAround ? open("around") : 1}
				say={hasAround ? state(open("around")) : none(text.job.nothingAround, open("around"))}
				to={{ screen: "around", job }}
			/>
			<Step
				test="step-sizing"
				name={text.job.stepSizing}
				n={decided ? (open("size") ?? 1) : 1}
				say={none(
					decided ? text.job.sizeDecided(sizeOf(decided.od), sizeOf(decided.wall)) : text.job.notDecided,
					open("size"),
				)}
				to={{ screen: "sizing", job, id: decided ? "decide" : "engine" }}
			/>
			<Step
				test="step-layout"
				name={text.job.stepLayout}
				n={tubes === 0 ? 1 : open("layout")}
				say={
					tubes === 0
						? none(text.job.noTubes, open("layout"))
						: [text.job.tubes(tubes), state(open("layout"))].filter((s) => s !== "").join(", ")
				}
				to={{ screen: "tubes", job }}
			/>
			<Step
				test="step-result"
				name={text.job.stepResult}
				n={computed > 0 ? 0 : 1}
				mark={mark}
				say={computed > 0 ? text.job.tubes(computed) : text.job.cannotYet}
				to={{ screen: "result", job }}
			/>
			<Step
				test="step-bench"
				name={text.job.stepBench}
				n={pieces.length > 0 && cut === pieces.length ? 0 : 1}
				say={pieces.length === 0 ? text.job.cannotYet : text.job.cutOf(cut, pieces.length)}
				to={{ screen: "bench", job }}
			/>
			<Step
				test="step-fixture"
				name={fixture.title}
				n={stations > 0 && checked === stations ? (open("fixture") ?? 1) : 1}
				say={none(stations > 0 ? fixture.checked(checked, stations) : fixture.none, open("fixture"))}
				to={{ screen: "fixture", job, id: stations > 0 ? "stations" : "base" }}
			/>
			<Step
				test="step-weld"
				name={text.job.weld.title}
				n={heldBy === points.length && !failed ? 0 : 1}
				mark={failed ? "stop" : undefined}
				say={failed ? text.job.weld.failed(failed.field.label) : text.job.weld.held(heldBy, points.length)}
				to={{ screen: "weld", job, id: "order" }}
			/>
			<Step
				test="step-inspect"
				name={inspect.title}
				n={reads.length > 0 && read === reads.length ? 0 : 1}
				say={reads.length === 0 ? inspect.none : inspect.read(read, reads.length)}
				to={{
					screen: "inspect",
					job,
					id:
						MOMENTS.find((at) => readSlots(job, at).some((s) => known(job, s).state === "missing")) ??
						"fitted",
				}}
			/>
		</nav>
	);
}

function Step({
	test,
	name,
	n,
	mark,
	say,
	to,
}: {
	test: string;
	name: string;
	n: number | null;
	mark?: MarkKind | undefined;
	say: string;
	to: Route;
}) {
	return (
		<button type="button" class="card step" data-test={test} onClick={() => go(to)}>
			<Mark kind={mark ?? (n === 0 ? "agreed" : "missing")} />
			<strong class="grow">{name}</strong>
			<span class="soft">{say}</span>
			<span class="act">▸</span>
		</button>
	);
}

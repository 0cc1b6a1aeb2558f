import { asMoment, atOf, MOMENTS, type Moment, readSlots } from "../lib/inspect";
import { go } from "../lib/state";
import { inspect as t } from "../lib/textinspect";
import type { InspectionPlan } from "../lib/typesinspect";
import { FindingRow, worstFirst } from "../part/finding";
import { openedFromInspection } from "../part/inspectway";
import { known } from "../part/known";
import { LongRun, useLong } from "../part/longrun";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { Parts } from "../part/parts";
import { shownBy } from "../part/shownby";
import { ViewSwitch } from "../part/viewswitch";
import { InspectBolts } from "./inspectbolts";
import { InspectGaps } from "./inspectgaps";
import { InspectLeak } from "./inspectleak";
import { InspectRows } from "./inspectrows";

/** What each part gets from the page. */
export interface InspectPartProps {
	job: string;
	at: Moment;
	plan: InspectionPlan | null; // null before it is worked out
}

// <Inspect job={…} part="welded"> are the pages on which a header is read as tacked, welded and fitted: each thing with
// what was planned, what was read and how that is; gaps by rods, bolts, the leak test, and what is still open.
// Props: job, part (a moment; tacked where it is none).  Calls: go; the parts call what they call.
export function Inspect({ job, part }: { job: string; part: string }) {
	const at = asMoment(part);
	openedFromInspection({ screen: "inspect", job, id: at });
	const said = useLong<InspectionPlan>("inspection", job);
	const { answer, isStale } = said;
	const next = readSlots(job, at).find((slot) => at !== "fitted" && known(job, slot).state === "missing");
	const caution = answer?.cautions[atOf(at)];
	const props = { job, at, plan: answer };
	return (
		<Page
			title={t.title}
			back={{ screen: "job", job }}
			extra={<ViewSwitch />}
			foot={
				next !== undefined && (
					<button
						type="button"
						class="primary wide"
						data-test="read-next"
						onClick={() => go({ screen: "measure", job, slot: next })}
					>
						{t.next(shownBy(job, next))} ▸
					</button>
				)
			}
		>
			<Parts screen="inspect" job={job} parts={MOMENTS} here={at} label={t.partsLabel} names={t.parts} />
			{/* it takes a moment: what stands below is not moved for it, only dimmed */}
			{(answer === null || said.state !== "running") && <LongRun kind="inspection" job={job} worked={said} />}
			<div
				key={at}
				class={isStale ? "stale stack" : "stack"}
				data-test={`inspect-${at}`}
				data-ready={said.state === "done"}
			>
				{answer && <Count plan={answer} at={at} />}
				{at !== "fitted" && <InspectRows {...props} />}
				<InspectGaps {...props} />
				{at === "fitted" && <InspectBolts {...props} />}
				{at === "welded" && <InspectLeak {...props} />}
				<Looks job={job} plan={answer} at={at} />
			</div>
			<button
				type="button"
				class="wide"
				data-test="to-report"
				onClick={() => go({ screen: "sheets", job, id: "report" })}
			>
				{t.report} ▸
			</button>
			{caution !== undefined && (
				<aside class="caution" data-test="caution">
					<p>{caution}</p>
				</aside>
			)}
		</Page>
	);
}

// How it stands at this moment, on top.
function Count({ plan, at }: { plan: InspectionPlan; at: Moment }) {
	const when = atOf(at);
	const oks = [
		...plan.rows.filter((r) => r.at === when && r.what !== "clock").map((r) => r.ok),
		...plan.gauges.filter((g) => g.at === when && g.verdict !== "open").map((g) => g.ok),
		...(at === "welded" && plan.leak.test !== "" ? [plan.leak.ok] : []),
	];
	const open = plan.open.filter((o) => o.at === when).length;
	const of = (want: boolean | null) => oks.filter((ok) => ok === want).length;
	if (oks.length === 0 && open === 0) return <p class="card soft">{t.none}</p>;
	return (
		<p class="card row" data-test="inspect-count">
			<Mark kind={of(false) > 0 ? "warn" : open > 0 || of(null) > 0 ? "missing" : "agreed"} />
			<strong class="grow">{t.count(of(true), of(false), of(null), open)}</strong>
		</p>
	);
}

// What was found, at the moment that it is about.
function Looks({ job, plan, at }: InspectPartProps) {
	const when = atOf(at);
	const slots = new Set([
		...(plan?.rows ?? []).filter((r) => r.at === when).map((r) => r.slot),
		...(plan?.gauges ?? []).filter((g) => g.at === when).map((g) => g.slot),
		...readSlots(job, at),
		...(at === "welded" ? [plan?.leak.slot ?? "", "hold/self/leak_pressure"] : []),
	]);
	const list = (plan?.findings ?? []).filter((f) => (f.slots ?? []).some((s) => slots.has(s)));
	if (list.length === 0) return null;
	return (
		<section class="card stack" data-test="inspect-looks">
			<h2>{t.looks}</h2>
			<ul>
				{worstFirst(list).map((f) => (
					<FindingRow key={`${f.rule} ${f.text}`} job={job} finding={f} />
				))}
			</ul>
		</section>
	);
}

import { go, view } from "../lib/state";
import { weld as t } from "../lib/textweld";
import type { WeldPlan } from "../lib/typesweld";
import { FindingRow, worstFirst } from "../part/finding";
import { LongRun, useLong } from "../part/longrun";
import { Page } from "../part/page";
import { Parts } from "../part/parts";
import { ViewSwitch } from "../part/viewswitch";
import { openedFromWeld } from "../part/weldway";
import { WeldGrowth } from "./weldgrowth";
import { WeldHolds } from "./weldholds";
import { WeldJoint } from "./weldjoint";
import { WeldOrder } from "./weldorder";
import { WeldPull } from "./weldpull";
import { WeldPurge } from "./weldpurge";

const PARTS = {
	order: WeldOrder,
	purge: WeldPurge,
	pull: WeldPull,
	growth: WeldGrowth,
	holds: WeldHolds,
};

type Part = keyof typeof PARTS;

/** What each part gets from the page. */
export interface WeldPartProps {
	job: string;
	plan: WeldPlan | null; // null before it is worked out
}

// <Weld job={…} part="order" joint=""> are the pages of the weld plan: the order of the joints and each of them, the
// purge with its count, what a port weld pulls, growth, and the points at which work is held.
// Props: job, part (order where it is none of them), joint (id of the one that is looked at).  Calls: go; the parts
// call what they call.
export function Weld({ job, part, joint }: { job: string; part: string; joint: string }) {
	const here: Part = part in PARTS ? (part as Part) : "order";
	openedFromWeld({ screen: "weld", job, id: here, ...(joint !== "" && { slot: joint }) });
	const said = useLong<WeldPlan>("weld", job);
	const { answer, isStale } = said;
	const Shown = PARTS[here];
	const back = { screen: "weld", job, id: "order" };
	return (
		<Page title={t.title} back={joint !== "" ? back : { screen: "job", job }} extra={<ViewSwitch />}>
			<Parts
				screen="weld"
				job={job}
				parts={Object.keys(PARTS) as Part[]}
				here={here}
				label={t.partsLabel}
				names={t.parts}
			/>
			{/* it takes a moment: what stands below is not moved for it, only dimmed */}
			{(answer === null || said.state !== "running") && <LongRun kind="weld" job={job} worked={said} />}
			{answer?.joints.length === 0 && view.value?.job === job && (
				<section class="card stack" data-test="weld-none">
					<p>{t.none}</p>
					<button type="button" data-test="to-layout" onClick={() => go({ screen: "tubes", job })}>
						{t.toLayout} ▸
					</button>
				</section>
			)}
			<div
				key={here}
				class={isStale ? "stale stack" : "stack"}
				data-test={`weld-${joint !== "" ? "joint" : here}`}
				data-ready={said.state === "done"}
			>
				{joint !== "" ? (
					<WeldJoint job={job} plan={answer} id={joint} />
				) : (
					<>
						<Shown job={job} plan={answer} />
						<Looks job={job} plan={answer} part={here} />
					</>
				)}
			</div>
			<button type="button" data-test="to-sheet" onClick={() => go({ screen: "sheets", job, id: "weld" })}>
				{t.sheet} ▸
			</button>
			{answer && (
				<aside class="caution" data-test="caution">
					{answer.cautions.map((c) => (
						<p key={c}>{c}</p>
					))}
				</aside>
			)}
		</Page>
	);
}

/** On which page a finding is about what stands there. */
function partOf(rule: string): Part {
	if (rule.startsWith("hold")) return "holds";
	if (rule === "weld-pull") return "pull";
	return /^weld-(?:rigid|braced|slip)/.test(rule) ? "growth" : "order";
}

function Looks({ job, plan, part }: WeldPartProps & { part: Part }) {
	const list = (plan?.findings ?? []).filter((f) => partOf(f.rule) === part);
	if (list.length === 0) return null;
	return (
		<section class="card stack" data-test="weld-looks">
			<h2>{t.looks}</h2>
			<ul>
				{worstFirst(list).map((f) => (
					<FindingRow key={`${f.rule} ${f.text}`} job={job} finding={f} />
				))}
			</ul>
		</section>
	);
}

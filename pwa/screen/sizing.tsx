import { sizing } from "../lib/textsizing";
import type { Sizing as Answer } from "../lib/typessizing";
import { FindingRow, worstFirst } from "../part/finding";
import { LongRun, useLong } from "../part/longrun";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { Parts } from "../part/parts";
import { openedFromSizing } from "../part/sizingway";
import { ViewSwitch } from "../part/viewswitch";
import { SizingDecide } from "./sizingdecide";
import { SizingEngine } from "./sizingengine";
import { SizingFits } from "./sizingfits";
import { SizingPairing } from "./sizingpairing";
import { SizingRules } from "./sizingrules";

const PARTS = {
	engine: SizingEngine,
	rules: SizingRules,
	decide: SizingDecide,
	pairing: SizingPairing,
	fits: SizingFits,
};

type Part = keyof typeof PARTS;

/** What each part gets from the page. */
export interface SizingPartProps {
	job: string;
	says: Answer | null; // null before it is worked out
}

// <Sizing job={…} part="rules"> are the pages on which it is decided how large a header is and which cylinder goes
// where: engine data, what rules say, the decision, pairing, and what fits into what.
// Props: job, part (engine where it is none of them).  Calls: go; the parts call what they call.
export function Sizing({ job, part }: { job: string; part: string }) {
	const here: Part = part in PARTS ? (part as Part) : "engine";
	openedFromSizing(job, here);
	const said = useLong<Answer>("sizing", job);
	const { answer, isStale } = said;
	const Shown = PARTS[here];
	return (
		<Page title={sizing.title} back={{ screen: "job", job }} extra={<ViewSwitch />}>
			<Parts
				screen="sizing"
				job={job}
				parts={Object.keys(PARTS) as Part[]}
				here={here}
				label={sizing.partsLabel}
				names={sizing.parts}
			/>
			{/* it takes a moment: what stands below is not moved for it, only dimmed */}
			{(answer === null || said.state !== "running") && <LongRun kind="sizing" job={job} worked={said} />}
			<div
				key={here}
				class={isStale ? "stale stack" : "stack"}
				data-test={`sizing-${here}`}
				data-ready={said.state === "done"}
			>
				<Shown job={job} says={answer} />
				<Looks job={job} says={answer} part={here} />
			</div>
		</Page>
	);
}

const OF: Record<Part, (rule: string) => boolean> = {
	engine: (r) => !isFit(r) && !isDecision(r) && !isPairing(r),
	rules: () => false,
	decide: isDecision,
	pairing: isPairing,
	fits: isFit,
};

function isDecision(rule: string): boolean {
	return rule.startsWith("decision-");
}

function isPairing(rule: string): boolean {
	return rule.startsWith("pairing");
}

function isFit(rule: string): boolean {
	return /^(?:header-|area-perimeter|slip|sensor|growth)/.test(rule);
}

// What was found, on the page of the part that it is about.
function Looks({ job, says, part }: SizingPartProps & { part: Part }) {
	const list = (says?.findings ?? []).filter((f) => OF[part](f.rule));
	const isAsDecided = part === "decide" && says?.decision.decided && !list.some((f) => f.severity === "warn");
	return (
		<>
			{isAsDecided && (
				<p class="row" data-test="no-drift">
					<Mark kind="agreed" />
					{sizing.decide.none}
				</p>
			)}
			{list.length > 0 && (
				<section class="card stack" data-test="sizing-looks">
					<h2>{sizing.looks}</h2>
					<ul>
						{worstFirst(list).map((f) => (
							<FindingRow key={`${f.rule} ${f.text}`} job={job} finding={f} />
						))}
					</ul>
				</section>
			)}
		</>
	);
}

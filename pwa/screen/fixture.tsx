import { go, listOf, view } from "../lib/state";
import { fixture as t } from "../lib/textfixture";
import type { FixturePlan } from "../lib/typesfixture";
import { Caution } from "../part/caution";
import { FindingRow, worstFirst } from "../part/finding";
import { openedFromFixture } from "../part/fixtureway";
import { LongRun, useLong } from "../part/longrun";
import { Page } from "../part/page";
import { Parts } from "../part/parts";
import { ViewSwitch } from "../part/viewswitch";
import { FixtureBase } from "./fixturebase";
import { FixtureCheck } from "./fixturecheck";
import { FixtureOut } from "./fixtureout";
import { FixtureStations } from "./fixturestations";

const PARTS = {
	base: FixtureBase,
	stations: FixtureStations,
	check: FixtureCheck,
	out: FixtureOut,
};

type Part = keyof typeof PARTS;

/** What each part gets from the page. */
export interface FixturePartProps {
	job: string;
	plan: FixturePlan | null; // null before it is worked out
}

// <Fixture job={…} part="stations"> are the pages of the fixture: what it stands on, where it holds, whether it was
// really clamped there, and how the part comes out.
// Props: job, part (base where it is none of them).  Calls: go; the parts call what they call.
export function Fixture({ job, part }: { job: string; part: string }) {
	const here: Part = part in PARTS ? (part as Part) : "base";
	openedFromFixture({ screen: "fixture", job, id: here });
	const said = useLong<FixturePlan>("fixture", job);
	const { answer, isStale } = said;
	const Shown = PARTS[here];
	const placed = (view.value?.plan.tubes ?? []).some((tube) => (tube.path ?? []).length > 0);
	return (
		<Page title={t.title} back={{ screen: "job", job }} extra={<ViewSwitch />}>
			<Parts
				screen="fixture"
				job={job}
				parts={Object.keys(PARTS) as Part[]}
				here={here}
				label={t.partsLabel}
				names={t.parts}
			/>
			{/* it takes a moment: what stands below is not moved for it, only dimmed */}
			{(answer === null || said.state !== "running") && <LongRun kind="fixture" job={job} worked={said} />}
			{view.value?.job === job && !placed && listOf(job, "station").length === 0 && (
				<section class="card stack" data-test="fixture-none">
					<p>{t.none}</p>
					<button type="button" data-test="to-layout" onClick={() => go({ screen: "tubes", job })}>
						{t.toLayout} ▸
					</button>
				</section>
			)}
			<div
				key={here}
				class={isStale ? "stale stack" : "stack"}
				data-test={`fixture-${here}`}
				data-ready={said.state === "done"}
			>
				<Shown job={job} plan={answer} />
				<Looks job={job} plan={answer} part={here} />
			</div>
			<div class="row wrap">
				<Way test="to-solid" say={t.solid} onTap={() => go({ screen: "view3d", job, slot: "fixture" })} />
				<Way test="to-sheet" say={t.sheets} onTap={() => go({ screen: "sheets", job, id: "fixture" })} />
				<Way test="to-plate" say={t.plate} onTap={() => go({ screen: "sheets", job, id: "base" })} />
			</div>
			<Caution>
				<p>{t.caution}</p>
				<p>{t.hotWork}</p>
			</Caution>
		</Page>
	);
}

function Way({ test, say, onTap }: { test: string; say: string; onTap: () => void }) {
	return (
		<button type="button" class="grow" data-test={test} onClick={onTap}>
			{say} ▸
		</button>
	);
}

/** On which page it stands what a finding is about. */
function partOf(rule: string): Part {
	if (rule.endsWith("come-out") || /^(?:comes-out|stations-come-off|no-earth|earth)/.test(rule)) return "out";
	if (/^(?:fixture|mock-up|disputed)/.test(rule)) return "base";
	return rule === "clamped-off" ? "check" : "stations";
}

const SAID = "no-room"; // with its tube

function Looks({ job, plan, part }: FixturePartProps & { part: Part }) {
	const list = (plan?.findings ?? []).filter((f) => f.rule !== SAID && partOf(f.rule) === part);
	if (list.length === 0) return null;
	return (
		<section class="card stack" data-test="fixture-looks">
			<h2>{t.looks}</h2>
			<ul>
				{worstFirst(list).map((f) => (
					<FindingRow key={`${f.rule} ${f.text}`} job={job} finding={f} />
				))}
			</ul>
		</section>
	);
}

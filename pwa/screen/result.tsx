import { useEffect, useRef } from "preact/hooks";
import { length } from "../lib/say";
import { units, view } from "../lib/state";
import { result } from "../lib/texttube";
import { Caution } from "../part/caution";
import { CutTable, LraTable, XyzTable } from "../part/cuttable";
import { FindingRow, worstFirst } from "../part/finding";
import { Fit } from "../part/gaps";
import { titleOf } from "../part/known";
import { LengthLine } from "../part/lengthline";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { SolidButton } from "../part/solidbutton";
import { ViewSwitch } from "../part/viewswitch";

interface ResultProps {
	job: string;
	at: string;
}

// <Result job={…} at="findings"> shows what follows from the measurements: findings in words, and per tube
// the length, bender data, points and cut list. The unit switch changes the view only.
// Props: job, at ("findings" to start there).  Calls: nothing.
export function Result({ job, at }: ResultProps) {
	const findingsAt = useRef<HTMLElement>(null);
	useEffect(() => {
		if (at === "findings") findingsAt.current?.scrollIntoView();
	}, [at]);
	const v = view.value?.job === job ? view.value : null;
	const tubes = v?.plan.tubes ?? [];
	const findings = worstFirst(v?.plan.findings ?? []);
	const stops = findings.filter((f) => f.severity === "stop").length;
	const spread = v?.plan.spread;
	return (
		<Page
			title={result.title}
			back={{ screen: "job", job }}
			extra={
				<>
					<SolidButton job={job} />
					<ViewSwitch />
				</>
			}
		>
			<div class={v?.stale ? "stale" : ""}>
				<div class="stack result">
					{v && tubes.length === 0 && <p class="soft">{result.nothing}</p>}
					{stops > 0 && (
						<p class="card row not-yet" role="status" data-test="not-yet">
							<Mark kind="stop" />
							<strong>{result.notYet(stops)}</strong>
						</p>
					)}
					<section class="card stack" ref={findingsAt}>
						<h2>{result.findings}</h2>
						{v && findings.length === 0 && <p class="soft">{result.noFindings}</p>}
						<ul>
							{findings.map((f) => (
								<FindingRow key={`${f.rule} ${f.slots?.join()} ${f.text}`} job={job} finding={f} />
							))}
						</ul>
					</section>
					{typeof spread === "number" && (
						<p class="card row">
							<span class="grow">{result.spread}</span>
							<strong>{length(spread, units.value)}</strong>
						</p>
					)}
					<Fit job={job} />
					{tubes.map((t) => (
						<section key={t.id} class="card stack">
							<h2>{titleOf(job, "tube", t.id)}</h2>
							<LengthLine id={t.id} plan={t} />
							<CutTable job={job} plan={t} />
							<div class="columns">
								<LraTable plan={t} />
								<XyzTable plan={t} />
							</div>
						</section>
					))}
					<Caution />
					{v && <p class="soft small">{result.hash(v.hash)}</p>}
				</div>
			</div>
		</Page>
	);
}

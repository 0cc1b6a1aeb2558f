import { degrees, length, type Maybe, plain } from "../lib/say";
import { go, units } from "../lib/state";
import { text } from "../lib/text";
import { result } from "../lib/texttube";
import type { Finding } from "../lib/typesplan";
import { Mark } from "./mark";
import { chooseRoute } from "./resting";

interface FindingRowProps {
	job: string;
	finding: Finding;
}

// <FindingRow job={…} finding={…}> says one thing that the plan found: how severe, what and where, how
// much against which limit, by which rule, and what would help. A tap goes to a field it rests on.
// Props: job, finding.  Calls: go.
export function FindingRow({ job, finding }: FindingRowProps) {
	const f = finding;
	const slot = f.slots?.[0];
	return (
		<li class={`finding finding-${f.severity}`} data-test="finding" data-rule={f.rule}>
			<Mark kind={f.severity} words />
			<div class="grow">
				<p>{f.text}</p>
				{f.help && <p class="soft">{f.help}</p>}
				<p class="soft small">
					{result.rule(f.rule, f.grade ?? "")}
					{typeof f.value === "number" && `, ${result.value} ${inUnit(f.value, f.unit)}`}
					{typeof f.limit === "number" && `, ${result.limit} ${inUnit(f.limit, f.unit)}`}
				</p>
			</div>
			{slot !== undefined && slot !== "" && (
				<button
					type="button"
					class="plain"
					onClick={() =>
						go(f.rule === "disputed" ? chooseRoute(job, slot) : { screen: "measure", job, slot })
					}
				>
					{f.rule === "disputed" ? text.job.choose : result.go}
				</button>
			)}
		</li>
	);
}

function inUnit(v: Maybe, unit: string | undefined): string {
	if (unit === "mm") return length(v, units.value);
	if (unit === "°" || unit === "deg") return degrees(v);
	return unit ? `${plain(v)} ${unit}` : plain(v);
}

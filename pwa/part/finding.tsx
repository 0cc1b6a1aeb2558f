import { degrees, length, type Maybe, plain } from "../lib/say";
import { go, stockJob, units } from "../lib/state";
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
						go(
							f.rule === "disputed"
								? chooseRoute(job, slot)
								: { screen: "measure", job: jobOf(job, slot), slot },
						)
					}
				>
					{f.rule === "disputed" ? text.job.choose : (result.goFor[f.rule] ?? result.go)}
				</button>
			)}
		</li>
	);
}

const RANK = { stop: 0, warn: 1, note: 2 };

/** worstFirst puts findings in the order in which they matter. */
export const worstFirst = (list: Finding[]): Finding[] =>
	[...list].sort((a, b) => RANK[a.severity] - RANK[b.severity]);

// The shop's stock stands in a job of its own.
function jobOf(job: string, slot: string): string {
	const [kind, id = ""] = slot.split("/");
	return kind === "stock" ? stockJob(job, id) : job;
}

function inUnit(v: Maybe, unit: string | undefined): string {
	if (unit === "mm") return length(v, units.value);
	if (unit === "°" || unit === "deg") return degrees(v);
	return unit ? `${plain(v)} ${unit}` : plain(v);
}

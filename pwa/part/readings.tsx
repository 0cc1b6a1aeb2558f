import { both, moment, resolution, typed } from "../lib/say";
import { go, readingsOf, whereIs } from "../lib/state";
import { text } from "../lib/text";
import { choose } from "../lib/textchoose";
import { measure } from "../lib/textmeasure";
import type { Head, RawReading } from "../lib/types";
import { Bars } from "./bars";
import { known } from "./known";
import { Mark } from "./mark";
import { now } from "./now";
import { chooseRoute } from "./resting";

interface ReadingsProps {
	job: string;
	slot: string;
}

// <Readings job={…} slot="port/p1/width"> lists the earlier readings of a slot: value as typed, who, when,
// with what, and where each is saved. None is ever hidden.
// Props: job, slot.  Calls: go.
export function Readings({ job, slot }: ReadingsProps) {
	const all = readingsOf(job, slot);
	if (all.length === 0) return null;
	return (
		<section class="readings" aria-label={measure.earlier}>
			<h3>{measure.earlier}</h3>
			{known(job, slot).state === "disputed" && (
				<p class="row">
					<Mark kind="disputed" />
					<span class="grow">{choose.title}</span>
					<button type="button" data-test="to-choice" onClick={() => go(chooseRoute(job, slot))}>
						{text.job.choose}
					</button>
				</p>
			)}
			<ul>
				{all.map((r) => (
					<li key={r.id} class={`reading reading-${r.standing}`} data-test={`reading:${r.id}`}>
						<strong>{r.unit === "word" ? (measure.words[r.text] ?? r.text) : typed(r)}</strong>
						<span class="grow">
							{said(r)}
							{r.standing !== "head" && ` · ${standing(r)}`}
						</span>
						<Bars at={whereIs(r.id)} words="" />
					</li>
				))}
			</ul>
		</section>
	);
}

const standing = (r: RawReading) => (r.standing === "head" ? "" : measure.standing[r.standing]);

/** said is all that is known of how a reading came about. */
export function said(r: Head): string {
	const res = resolution(r);
	return [both(r), r.person, moment(r.at, now.value), r.tool, res && measure.resolution(res)]
		.filter((s) => s !== "")
		.join(" · ");
}

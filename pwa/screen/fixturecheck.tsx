import { useState } from "preact/hooks";
import { asked } from "../lib/fields";
import { length, notSaved, offset } from "../lib/say";
import { keepTogether, units } from "../lib/state";
import { fixture } from "../lib/textfixture";
import type { FixtureStation } from "../lib/typesfixture";
import { FieldCell } from "../part/fieldcell";
import { known, titleOf, word } from "../part/known";
import { Mark } from "../part/mark";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";
import { offerUndo } from "../part/undo";
import type { FixturePartProps } from "./fixture";

const t = fixture.check;

// <FixtureCheck job={…} plan={…}> is the list of clamp marks: where each station is to hold, where it was really
// clamped, a tick and a photo.
// Props: job, plan.  Calls: what its rows call.
export function FixtureCheck({ job, plan }: FixturePartProps) {
	if (!plan) return null;
	const kept = plan.stations.filter((s) => !s.suggested);
	const done = kept.filter((s) => isChecked(job, s.id)).length;
	return (
		<section class="card stack" data-test="clamp-marks" data-done={done}>
			<h2>{t.title}</h2>
			<p class="soft">{t.why}</p>
			{kept.length === 0 && <p>{t.none}</p>}
			{kept.length > 0 && (
				<p class="row">
					<Mark kind={done === kept.length ? "agreed" : "missing"} />
					<strong>{t.done(done, kept.length)}</strong>
				</p>
			)}
			<ul class="station-list">
				{kept.map((s) => (
					<li key={s.id} class="clamp-row">
						<ClampCheck job={job} station={s} />
					</li>
				))}
			</ul>
		</section>
	);
}

/** isChecked tells whether a person looked at a clamp and found it at its mark. */
export const isChecked = (job: string, station: string) => word(job, `station/${station}/checked`) === "yes";

// <ClampCheck job={…} station={…}> is one clamp mark: planned, clamped at, by how much that is off, the tick, a photo.
// Props: job, station.  Calls: keepTogether (checked).
export function ClampCheck({ job, station: s }: { job: string; station: FixtureStation }) {
	const [fault, setFault] = useState("");
	const u = units.value;
	const slot = `station/${s.id}/clamped_at`;
	const ask = asked(slot);
	const at = known(job, slot);
	const head = at.heads.find((h) => h.id === at.value);
	const off = head?.nm === undefined ? null : head.nm / 1e6 - s.along;
	const checked = isChecked(job, s.id);
	const what = t.photo(s.name);
	const tick = () => {
		setFault("");
		keepTogether(job, { [`station/${s.id}/checked`]: checked ? "no" : "yes" }).then(
			(undo) => offerUndo(`${s.name}: ${checked ? t.untick : t.tick}`, undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	return (
		<div class="stack" data-test={`clamp:${s.id}`} data-checked={checked}>
			<div class="clamp-head">
				<span class="station-name">
					<strong>{s.name}</strong>
					<span class="soft small">
						{titleOf(job, s.tube !== "" ? "tube" : "collector", s.tube || s.collector)}
					</span>
				</span>
				<span class="station-along">
					<span class="soft small">{t.planned}</span>
					<strong>{length(s.along, u)}</strong>
				</span>
				{ask && <FieldCell job={job} ask={ask} />}
				<button
					type="button"
					class={checked ? "tick picked" : "tick"}
					aria-pressed={checked}
					data-test={`tick:${s.id}`}
					onClick={tick}
				>
					<svg viewBox="0 0 24 24" width="28" height="28" aria-hidden="true" focusable="false">
						<path d="M3 3h18v18H3z" fill="none" stroke="currentColor" stroke-width="2.5" />
						{checked && <path d="M6.5 12.5l4 4 7-9" fill="none" stroke="currentColor" stroke-width="3" />}
					</svg>
					<span>{t.tick}</span>
				</button>
				<PhotoButton job={job} slot={slot} what={what} />
			</div>
			{off !== null && (
				<p class="row small" data-test={`clamp-off:${s.id}`}>
					<Mark kind={Math.abs(off) < 0.05 ? "agreed" : "note"} />
					{Math.abs(off) < 0.05 ? t.on : t.off(offset(off, u))}
				</p>
			)}
			<Photos job={job} slot={slot} />
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</div>
	);
}

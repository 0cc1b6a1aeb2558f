import { useEffect, useState } from "preact/hooks";
import { asksFor } from "../lib/fields";
import { draftOf } from "../lib/sizing";
import { readDraft, saveDraft } from "../lib/state";
import { weld } from "../lib/textweld";
import type { Purge } from "../lib/typesweld";
import { cfh, minutesAndSeconds, range } from "../lib/weld";
import { FieldCell } from "../part/fieldcell";
import { Figures } from "../part/figures";
import { word } from "../part/known";
import { Mark } from "../part/mark";
import type { WeldPartProps } from "./weld";

const t = weld.purge;

// <WeldPurge job={…} plan={…}> is the purge of every tube: how long, in and out, what others say, and a count that
// runs on while the page is away.
// Props: job, plan.  Calls: what its cards call.
export function WeldPurge({ job, plan }: WeldPartProps) {
	const asks = asksFor("weld", "self", (s) => word(job, s)).filter((a) =>
		["changes", "flow"].includes(a.field.name),
	);
	return (
		<>
			<section class="card stack">
				<p>{t.why}</p>
				<h2>{t.settings}</h2>
				<div class="cells">
					{asks.map((a) => (
						<FieldCell key={a.slot} job={job} ask={a} />
					))}
				</div>
				{plan && (
					<p class="soft">
						{t.whileTitle}: {range(plan.while.low, plan.while.high, 1)} L/min ({cfh(plan.while.low)}–
						{cfh(plan.while.high)} cfh), {plan.while.source.grade}
					</p>
				)}
			</section>
			{plan?.purge.map((p) => (
				<PurgeCard key={p.tube} job={job} purge={p} />
			))}
			{plan && (
				<section class="card">
					<Figures title={t.oxygen} head={t.oxygenHead} test="oxygen">
						{plan.oxygen.map((o) => (
							<tr key={o.name}>
								<th scope="row" class="said">
									{weld.grade(o.source.text, o.source.grade)}
								</th>
								<td class="num">{o.high}</td>
							</tr>
						))}
					</Figures>
				</section>
			)}
		</>
	);
}

function PurgeCard({ job, purge: p }: { job: string; purge: Purge }) {
	return (
		<section class="card stack" data-test={`purge:${p.tube}`}>
			<div class="row wrap">
				<h2 class="grow">{p.name}</h2>
				<strong class="big-figure" data-test={`minutes:${p.tube}`}>
					{t.minutes(p.minutes.toFixed(2))}
				</strong>
			</div>
			<p class="soft">
				{t.holds(p.volume_l.toFixed(2))};{" "}
				{t.at(range(p.changes, p.changes, 1), p.flow.toFixed(1), cfh(p.flow))}
			</p>
			<p>
				{t.feed}: {p.feed}. {t.vent}: {p.vent}.
			</p>
			<Count job={job} purge={p} />
			<details class="weld-more">
				<summary data-test={`also:${p.tube}`}>{t.also}</summary>
				<Figures title="" head={t.alsoHead}>
					{p.also.map((a) => (
						<tr key={a.name}>
							<th scope="row" class="said">
								{weld.grade(a.name, a.source.grade)}
							</th>
							<td class="num">{range(a.changes[0], a.changes[1], 0)}</td>
							<td class="num">{range(a.flow[0], a.flow[1], 1)}</td>
							<td class="num">{range(a.minutes[0], a.minutes[1], 2)}</td>
						</tr>
					))}
				</Figures>
			</details>
		</section>
	);
}

// The moment at which the flow began is kept, not the time that is left: the page may be away.
function Count({ job, purge: p }: { job: string; purge: Purge }) {
	const key = draftOf(job, `weld/self/count-${p.tube}`);
	const [since, setSince] = useState(() => Number(readDraft(key)) || 0);
	const [at, setAt] = useState(() => Date.now());
	useEffect(() => {
		if (since === 0) return;
		const timer = setInterval(() => setAt(Date.now()), 250);
		return () => clearInterval(timer);
	}, [since]);
	const set = (ms: number) => {
		setSince(ms);
		setAt(Date.now());
		saveDraft(key, ms === 0 ? "" : String(ms));
	};
	const left = since + p.minutes * 60_000 - at;
	return (
		<div
			class="row wrap"
			data-test={`count:${p.tube}`}
			data-state={since === 0 ? "" : left > 0 ? "running" : "over"}
		>
			<button
				type="button"
				class={since === 0 ? "primary" : ""}
				data-test={`count-act:${p.tube}`}
				onClick={() => set(since === 0 ? Date.now() : 0)}
			>
				{since === 0 ? t.start : t.stop}
			</button>
			{since !== 0 && (
				<strong class="weld-count" role="timer">
					{left > 0 ? t.left(minutesAndSeconds(left)) : t.over(minutesAndSeconds(-left))}
				</strong>
			)}
			{since !== 0 && left <= 0 && (
				<span class="row">
					<Mark kind="agreed" />
					{t.overSay}
				</span>
			)}
		</div>
	);
}

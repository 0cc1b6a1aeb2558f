import { atOf, pairKey } from "../lib/inspect";
import { length, offset } from "../lib/say";
import { go, units } from "../lib/state";
import { inspect as t } from "../lib/textinspect";
import type { GaugeCheck } from "../lib/typesinspect";
import { Mark, type MarkKind } from "../part/mark";
import { Photos } from "../part/photos";
import type { InspectPartProps } from "./inspect";

// <InspectGaps job at plan> lists the gaps that were tried with rods at a moment, and those that should be.
// Props: job, at, plan.  Calls: go.
export function InspectGaps({ job, at, plan }: InspectPartProps) {
	if (!plan) return null;
	const when = atOf(at);
	const own = plan.gauges.filter((g) => g.at === when);
	const has = (a: string, b: string) => own.some((g) => (g.a === a && g.b === b) || (g.a === b && g.b === a));
	// what is near is asked for when it is fitted, and is worth a rod before
	const pairs = [
		...plan.open.filter((o) => o.what === "gap").map((o) => ({ a: o.on, b: o.to ?? "", name: o.name })),
		...plan.gauges.filter((g) => g.at !== when).map(({ a, b, name }) => ({ a, b, name })),
	];
	const open = pairs.filter((p, i) => !has(p.a, p.b) && pairs.findIndex((q) => q.name === p.name) === i);
	const to = (a: string, b: string, id = "") =>
		go({ screen: "gap", job, slot: pairKey({ a, b, at }), ...(id !== "" && { id }) });
	return (
		<section class="card stack" data-test="group:gaps">
			<h2>{t.groups.gaps}</h2>
			<ul class="reads">
				{own.map((g) => (
					<li key={g.id} class="read-row" data-test={`gauge:${g.a}:${g.b}`} data-verdict={g.verdict}>
						<button type="button" class="read-way" onClick={() => to(g.a, g.b, g.id)}>
							<span class="read-name">
								<strong>{g.name}</strong>
								<GapVerdict gauge={g} />
							</span>
							<span class="read-figures">{tried(g)}</span>
						</button>
						<GapSays gauge={g} />
						<Photos job={job} slot={g.slot} />
					</li>
				))}
				{open.map((p) => (
					<li key={p.name} class="read-row">
						<button
							type="button"
							class="read-way"
							data-test={`to-gap:${p.a}:${p.b}`}
							onClick={() => to(p.a, p.b)}
						>
							<span class="read-name">
								<strong>{p.name}</strong>
								<span class="read-verdict">
									<Mark kind="missing" />
									{t.gap.untried}
								</span>
							</span>
							<span class="read-figures soft">▸</span>
						</button>
					</li>
				))}
			</ul>
			<button type="button" data-test="add-gap" onClick={() => to("", "")}>
				{t.gap.add} ▸
			</button>
		</section>
	);
}

const rodSays = (mm: number | null): string => (mm === null ? "" : mm === 0 ? "0" : length(mm, units.value));

const tried = (g: GaugeCheck): string => t.gap.tried(rodSays(g.goes), rodSays(g.stops)) || t.gap.untried;

const MARKS: Record<GaugeCheck["verdict"], MarkKind> = {
	ok: "agreed",
	near: "warn",
	"too near": "stop",
	undecided: "note",
	contradiction: "disputed",
	open: "missing",
};

// <GapVerdict gauge> says in words, beside a shape, what the rods tell.
// Props: gauge.  Calls: nothing.
export function GapVerdict({ gauge: g }: { gauge: GaugeCheck }) {
	const differs = g.disputed.length > 0 && g.ok === null;
	return (
		<span class={`read-verdict read-${g.ok === false ? "off" : "good"}`} data-test="gap-verdict">
			<Mark kind={differs ? "disputed" : MARKS[g.verdict]} />
			{differs ? t.verdict.differ : t.gap.verdict[g.verdict]}
		</span>
	);
}

// <GapSays gauge> is what is wanted and planned of a gap, and which rod decides where these do not.
// Props: gauge.  Calls: nothing.
export function GapSays({ gauge: g }: { gauge: GaugeCheck }) {
	const u = units.value;
	const says = [
		`${t.gap.wanted} ${length(g.wanted, u)}`,
		...(g.least > 0 ? [`${t.gap.least} ${length(g.least, u)}`] : []),
		...(g.planned === null ? [] : [`${t.gap.planned} ${length(g.planned, u)}`]),
		...(g.worst_case === "" ? [] : [t.gap.worst(g.worst_case)]),
		...(g.off === null || g.off === 0
			? []
			: [g.off > 0 ? t.gap.more(length(g.off, u)) : t.gap.less(offset(-g.off, u).replace("+", ""))]),
	];
	return (
		<>
			<p class="soft small">
				{says.join(", ")}; {t.grade(g.grade)}
			</p>
			{g.take !== null && (
				<p class="row" data-test="gap-take">
					<Mark kind="note" />
					{t.gap.take(length(g.take, u))}
				</p>
			)}
			{g.readings.map((r) => (
				<p key={r.text} class="row small">
					<Mark kind="disputed" />
					{r.text}
				</p>
			))}
		</>
	);
}

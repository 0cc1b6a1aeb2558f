import { useState } from "preact/hooks";
import { isPlace } from "../lib/around";
import { figure, length, plain } from "../lib/say";
import { spare, standOf, worstFirst } from "../lib/solid/gaps";
import { type Access, type PlanFrame, type PlanGap, type Point, units, view } from "../lib/state";
import { around } from "../lib/textaround";
import { Figures } from "./figures";
import { nameOf, titleOf } from "./known";
import { Mark, type MarkKind } from "./mark";

/** Gaps that are shown before somebody asks for all. */
const TIGHTEST = 12;

const MARKS = { touch: "stop", least: "stop", short: "warn", close: "disputed", enough: "agreed" } as const;

function stateOf(g: PlanGap): keyof typeof MARKS {
	if (g.gap <= 0) return "touch";
	const stand = standOf(g);
	return stand === "short" && typeof g.least === "number" && g.gap < g.least ? "least" : stand;
}

// <Fit job={…}> is what the plan says of a whole header: gaps, how bolts and plugs are got at, and how well
// frames tied together agree. Nothing where nothing of it is known.
// Props: job.  Calls: nothing.
export function Fit({ job }: { job: string }) {
	const plan = view.value?.job === job ? view.value.plan : {};
	return (
		<>
			{(plan.gaps ?? []).length > 0 && <Gaps job={job} gaps={plan.gaps ?? []} />}
			{(plan.access ?? []).length > 0 && <AccessTable job={job} list={plan.access ?? []} />}
			{(plan.frames ?? []).map((f) => (
				<FrameCard key={f.frame} job={job} frame={f} />
			))}
		</>
	);
}

// <Gaps job={…} gaps={…}> lists gaps, what is short first, each with what is wanted, both places and the worst
// case, and the caution that belongs to them, once.
// Props: job, gaps.  Calls: nothing.
export function Gaps({ job, gaps }: { job: string; gaps: PlanGap[] }) {
	const [all, setAll] = useState(false);
	const u = units.value;
	const t = around.gaps;
	const rows = worstFirst({ gaps });
	// what asks for something is never folded away
	const asking = rows.filter((r) => stateOf(r) !== "enough").length;
	const shown = all ? rows : rows.slice(0, Math.max(TIGHTEST, asking));
	return (
		<section class="card stack" data-test="gaps">
			<Figures
				title={t.title}
				head={[t.head.of, `${t.head.gap}, ${u}`, `${t.head.wanted}, ${u}`, `${t.head.short}, ${u}`]}
				foot={t.hint}
			>
				{shown.map((r) => (
					<GapLine key={`${r.a} ${r.b} ${r.gap}`} job={job} row={r} />
				))}
			</Figures>
			{rows.length > shown.length && (
				<button type="button" data-test="gaps-all" onClick={() => setAll(true)}>
					{t.all(rows.length)}
				</button>
			)}
			{rows.some((r) => stateOf(r) === "close") && (
				<p class="row">
					<Mark kind={MARKS.close} />
					<span>{t.closeWhy}</span>
				</p>
			)}
			<aside class="caution" data-test="gap-caution">
				<p>{t.caution}</p>
			</aside>
		</section>
	);
}

function GapLine({ job, row }: { job: string; row: PlanGap }) {
	const u = units.value;
	const t = around.gaps;
	const state = stateOf(row);
	const a = nameOf(job, row.a);
	const where = [row.at_a, row.at_b].filter(isPlace).map(place);
	return (
		<tr data-test="gap-row" data-state={state} class={`gap gap-${state}`}>
			<th scope="row">
				<Named
					mark={MARKS[state]}
					name={row.a === row.b ? t.self(a) : t.between(a, nameOf(job, row.b))}
					word={t.states[state]}
					more={[
						where[0] ? t.at(where[0], where[1] ?? "") : "",
						row.worst_case ? t.worst(row.worst_case) : "",
						typeof row.sigma === "number" ? t.sigma(length(row.sigma, u)) : "",
						typeof row.least === "number" && row.least > 0 ? t.never(length(row.least, u)) : "",
						row.grade ?? "",
					]}
				/>
			</th>
			<td class="num">
				<strong>{figure(row.gap, u)}</strong>
			</td>
			<td class="num">{figure(row.wanted, u)}</td>
			<td class="num">{spare(row) < 0 ? figure(-spare(row), u) : ""}</td>
		</tr>
	);
}

// <AccessTable job={…} list={…}> says of each bolt and plug whether a tool reaches it, and what is in the way.
// Props: job, list.  Calls: nothing.
export function AccessTable({ job, list }: { job: string; list: Access[] }) {
	const u = units.value;
	const t = around.access;
	return (
		<section class="card" data-test="access">
			<Figures title={t.title} head={[t.what, t.tool, `${t.gap}, ${u}`, `${t.wanted}, ${u}`, t.against]}>
				{[...list]
					.sort((a, b) => a.gap - b.gap)
					.map((a) => (
						<tr key={`${a.what} ${a.tool}`} data-test="access-row" class={a.gap >= 0 ? "" : "access-bad"}>
							<th scope="row">
								<Named
									mark={isGood(a) ? "agreed" : "warn"}
									name={nameOf(job, a.what)}
									word={a.gap < 0 ? t.bad : isGood(a) ? t.good : t.tight}
								/>
							</th>
							<td class="num">{a.tool ? nameOf(job, a.tool) : ""}</td>
							<td class="num">{figure(a.gap, u)}</td>
							<td class="num">{figure(a.wanted, u)}</td>
							<td class="num">{a.against ? nameOf(job, a.against) : t.free}</td>
						</tr>
					))}
			</Figures>
		</section>
	);
}

interface NamedProps {
	mark: MarkKind;
	name: string;
	word: string;
	more?: string[];
}

// What a row is about: its mark, its name, how it stands in words, and what else there is to say.
function Named({ mark, name, word, more = [] }: NamedProps) {
	const rest = more.filter((s) => s !== "").join("; ");
	return (
		<span class="named">
			<Mark kind={mark} />
			<span>
				{name}
				<strong class="named-word">{word}</strong>
				{rest !== "" && <span class="named-more soft small">{rest}</span>}
			</span>
		</span>
	);
}

const isGood = (a: Access) => a.gap >= (a.wanted ?? 0);

// <FrameCard job={…} frame={…}> says how well two frames are tied together, and which point more would help most.
// Props: job, frame.  Calls: nothing.
export function FrameCard({ job, frame }: { job: string; frame: PlanFrame }) {
	const u = units.value;
	const t = around.frames;
	const name = (id: string) => (id === "car" ? t.car : titleOf(job, "bank", id));
	return (
		<section class="card stack" data-test="frame">
			<h2>{t.title}</h2>
			<p class="row">
				<span class="grow">{`${t.of(name(frame.frame), name(frame.in))}, ${t.rms}`}</span>
				<strong>{length(frame.rms, u)}</strong>
			</p>
			{frame.too_far && (
				<p class="row">
					<Mark kind="warn" />
					<span>{t.tooFar}</span>
				</p>
			)}
			{(frame.targets ?? []).map((c) => (
				<p key={c.collector} class="row">
					<span class="grow">{t.target(titleOf(job, "collector", c.collector))}</span>
					<span>
						<strong>{length(c.sigma, u)}</strong>
						{typeof c.with_one_more === "number" && (
							<span class="soft"> · {t.oneMore(length(c.with_one_more, u))}</span>
						)}
					</span>
				</p>
			))}
			{(frame.residuals ?? []).length > 0 && (
				<Figures title="" head={[t.tie, `${t.off}, ${u}`]}>
					{frame.residuals?.map((r) => (
						<tr key={r.tie}>
							<th scope="row">{titleOf(job, "tie", r.tie)}</th>
							<td class="num">{figure(r.off, u)}</td>
						</tr>
					))}
				</Figures>
			)}
			{frame.advice && (
				<p class="row">
					<Mark kind="note" />
					<span>{frame.advice}</span>
				</p>
			)}
		</section>
	);
}

const place = (p: Point) =>
	p.map((v) => (units.value === "mm" ? plain(Math.round(v)) : figure(v, "in"))).join(", ");

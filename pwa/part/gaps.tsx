import { useState } from "preact/hooks";
import { isPlace } from "../lib/around";
import { figure, length, plain } from "../lib/say";
import { shortForm, spare, stateOf } from "../lib/solid/gaps";
import { type Access, listOf, type PlanFrame, type PlanGap, type Point, units, view } from "../lib/state";
import { around } from "../lib/textaround";
import { Figures } from "./figures";
import { nameOf, titleOf } from "./known";
import { Mark, type MarkKind } from "./mark";

/** As many gaps are not worth folding away. */
const FEW = 3;

const MARKS = { touch: "stop", least: "stop", short: "warn", close: "disputed", enough: "agreed" } as const;

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

// <Gaps job={…} gaps={…}> lists gaps: in full those that are too small or too close to call, of the others the
// closest to each thing, and the rest behind one tap; and the caution that belongs to them, once. On paper the rest
// is counted where it was not opened.
// Props: job, gaps.  Calls: nothing.
export function Gaps({ job, gaps }: { job: string; gaps: PlanGap[] }) {
	const [isOpen, setOpen] = useState(false);
	const t = around.gaps;
	const tubes = new Set(listOf(job, "tube").map((e) => e.id));
	const { asking, closest, rest } = shortForm(gaps, (id) => tubes.has(id));
	const folds = rest.length > FEW;
	const roomy = folds ? closest : [...closest, ...rest].sort((a, b) => spare(a) - spare(b));
	return (
		<section class="card stack" data-test="gaps">
			<h2>{t.title}</h2>
			<Counts asking={asking} enough={closest.length + rest.length} />
			{asking.length > 0 && (
				<Table job={job} title={t.asking} gaps={asking} more={t.head.short} test="gaps-asking" />
			)}
			{asking.some((g) => stateOf(g) === "close") && (
				<p class="row">
					<Mark kind={MARKS.close} />
					<span>{t.closeWhy}</span>
				</p>
			)}
			{roomy.length > 0 && (
				<Table
					job={job}
					title={folds ? t.closest : t.enough}
					gaps={roomy}
					more={t.head.spare}
					isBrief={folds && !isOpen}
					test="gaps-closest"
				/>
			)}
			{folds && (
				<button
					type="button"
					data-test="gaps-rest"
					aria-expanded={isOpen}
					onClick={() => setOpen((was) => !was)}
				>
					{isOpen ? t.less : t.rest(rest.length)}
				</button>
			)}
			{folds && isOpen && (
				<Table job={job} title={t.others} gaps={rest} more={t.head.spare} test="gaps-others" />
			)}
			{folds && !isOpen && <p class="only-print">{t.notPrinted(rest.length)}</p>}
			<p class="soft small">{t.hint}</p>
			<aside class="caution" data-test="gap-caution">
				<p>{t.caution}</p>
			</aside>
		</section>
	);
}

// <Counts> says how many gaps there are of each kind; nothing that asks for something may look like all is well.
function Counts({ asking, enough }: { asking: PlanGap[]; enough: number }) {
	const t = around.gaps;
	const worst = asking[0];
	const kinds = (["touch", "least", "short", "close"] as const).flatMap((state) => {
		const n = asking.filter((g) => stateOf(g) === state).length;
		return n > 0 ? [t.count(n, t.states[state])] : [];
	});
	return (
		<p class="row" data-test="gaps-count">
			<Mark kind={MARKS[worst ? stateOf(worst) : "enough"]} />
			<strong>
				{worst ? [...kinds, t.count(enough, t.states.enough)].join(" · ") : t.allEnough(enough)}
			</strong>
		</p>
	);
}

interface TableProps {
	job: string;
	title: string;
	gaps: PlanGap[];
	more: string;
	isBrief?: boolean;
	test: string;
}

function Table({ job, title, gaps, more, isBrief = false, test }: TableProps) {
	const u = units.value;
	const t = around.gaps;
	return (
		<Figures
			title={title}
			head={[t.head.of, `${t.head.gap}, ${u}`, `${t.head.wanted}, ${u}`, `${more}, ${u}`]}
			test={test}
		>
			{gaps.map((g) => (
				<GapLine key={`${g.a} ${g.b} ${g.gap}`} job={job} gap={g} isBrief={isBrief} />
			))}
		</Figures>
	);
}

function GapLine({ job, gap, isBrief }: { job: string; gap: PlanGap; isBrief: boolean }) {
	const u = units.value;
	const t = around.gaps;
	const state = stateOf(gap);
	const a = nameOf(job, gap.a);
	const where = [gap.at_a, gap.at_b].filter(isPlace).map(place);
	const more = [
		where[0] ? t.at(where[0], where[1] ?? "") : "",
		gap.worst_case ? t.worst(gap.worst_case) : "",
		typeof gap.sigma === "number" ? t.sigma(length(gap.sigma, u)) : "",
		typeof gap.least === "number" && gap.least > 0 ? t.never(length(gap.least, u)) : "",
		gap.grade ?? "",
	];
	return (
		<tr data-test="gap-row" data-state={state} class={`gap gap-${state}`}>
			<th scope="row">
				<Named
					mark={MARKS[state]}
					name={gap.a === gap.b ? t.self(a) : t.between(a, nameOf(job, gap.b))}
					word={isBrief ? "" : t.states[state]}
					more={isBrief ? [] : more}
				/>
			</th>
			<td class="num">
				<strong>{figure(gap.gap, u)}</strong>
			</td>
			<td class="num">{figure(gap.wanted, u)}</td>
			<td class="num">{state === "close" && spare(gap) >= 0 ? "" : figure(Math.abs(spare(gap)), u)}</td>
		</tr>
	);
}

// <AccessTable job={…} list={…}> says of each bolt and plug whether a tool reaches it past tubes and what stands fixed,
// and what is in the way.
// Props: job, list.  Calls: nothing.
export function AccessTable({ job, list }: { job: string; list: Access[] }) {
	const u = units.value;
	const t = around.access;
	const banks = listOf(job, "bank").length;
	const what = (id: string) => {
		const kind = listOf(job, "bolt").some((b) => b.id === id) ? "bolt" : "plug";
		const bank = listOf(job, kind).find((e) => e.id === id)?.parent ?? "";
		return banks > 1
			? t.ofBank(nameOf(job, id), titleOf(job, "bank", bank).replace(" ", "\u00a0"))
			: nameOf(job, id);
	};
	return (
		<section class="card" data-test="access">
			<Figures title={t.title} head={[t.what, t.tool, `${t.gap}, ${u}`, `${t.wanted}, ${u}`, t.against]}>
				{[...list]
					.sort((a, b) => a.gap - b.gap)
					.map((a) => (
						<tr key={`${a.what} ${a.tool}`} data-test="access-row" class={isBad(a) ? "access-bad" : ""}>
							<th scope="row">
								<Named
									mark={isGood(a) ? "agreed" : "warn"}
									name={what(a.what)}
									word={isBad(a) ? t.bad : isGood(a) ? "" : t.tight}
								/>
							</th>
							<td class="num said">{a.tool ? nameOf(job, a.tool) : ""}</td>
							<td class="num">{figure(a.gap, u)}</td>
							<td class="num">{figure(a.wanted, u)}</td>
							<td class="num said">{a.against ? nameOf(job, a.against) : t.free}</td>
						</tr>
					))}
			</Figures>
			{list.every(isGood) && <p class="soft small">{t.allGood}</p>}
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
				{word !== "" && <strong class="named-word">{word}</strong>}
				{rest !== "" && <span class="named-more soft small">{rest}</span>}
			</span>
		</span>
	);
}

const isGood = (a: Access) => a.gap >= (a.wanted ?? 0);
const isBad = (a: Access) => a.gap <= 0; // how deep a tool runs into a solid is not known

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

import { useEffect, useState } from "preact/hooks";
import { asked } from "../lib/fields";
import { figure, notSaved } from "../lib/say";
import { book, digits, ruleReading, sizeReading, speedIn, wanting, withUnit, worked } from "../lib/sizing";
import { go, keepTogether, units } from "../lib/state";
import { text } from "../lib/text";
import { sizing } from "../lib/textsizing";
import type { Letter, Rule, Size, Sizing } from "../lib/typessizing";
import { FieldCell } from "../part/fieldcell";
import { word } from "../part/known";
import { Mark } from "../part/mark";
import { SpreadDrawing } from "../part/spreaddrawing";
import { offerUndo } from "../part/undo";
import type { SizingPartProps } from "./sizing";

const QUESTIONS = ["how wide", "how long", "what behind", "what else"];

// Which rules stand open, and from which a field was opened: coming back finds them so.
const open = new Set<string>();
let at = "";

// <SizingRules job={…} says={…}> is what rules say, by question: the spread drawn, then each rule with its result,
// start point, grade and sources; a rule opens to its formula with the values, each to be changed there.
// Props: job, says.  Calls: go, keepTogether (length, size).
export function SizingRules({ job, says }: SizingPartProps) {
	useEffect(() => {
		const back = at;
		at = "";
		if (back !== "") document.querySelector(`[data-test="rule:${back}"]`)?.scrollIntoView({ block: "start" });
	}, []);
	if (!says) return null;
	const show = (q: string) => document.querySelector(`[data-test="question:${q}"]`)?.scrollIntoView();
	return (
		<>
			<nav class="parts questions" aria-label={sizing.partsOf}>
				{QUESTIONS.map((q) => (
					<button key={q} type="button" data-test={`to:${q}`} onClick={() => show(q)}>
						{sizing.questions[q]}
					</button>
				))}
			</nav>
			<Wanted job={job} says={says} />
			<p class="soft small">{sizing.spreadHow}</p>
			{QUESTIONS.map((q) => (
				<section key={q} class="card stack question" data-test={`question:${q}`}>
					<h2>{sizing.questions[q]}</h2>
					{says.spreads
						.filter((s) => s.question === q)
						.map((s) => (
							<div key={`${s.what} ${s.start}`} class="stack" data-test={`spread:${s.what}:${s.start}`}>
								<h3>
									{sizing.spread(s.what, sizing.start(s.start), s.unit === "mm" ? units.value : s.unit)}
								</h3>
								<SpreadDrawing spread={s} rules={says.rules} isDecided={says.decision.decided} />
								{s.open !== "" && <p class="soft">{s.open}</p>}
							</div>
						))}
					<ul class="rules">
						{says.rules
							.filter((r) => r.question === q)
							.map((r) => (
								<RuleRow key={r.id} job={job} rule={r} says={says} />
							))}
					</ul>
					{q === "how wide" && <Sizes job={job} says={says} />}
				</section>
			))}
			<button
				type="button"
				class="primary wide"
				data-test="to-decide"
				onClick={() => go({ screen: "sizing", job, id: "decide" })}
			>
				{sizing.toDecide} ▸
			</button>
		</>
	);
}

const FEW = 6;

// The slots that rules wait for, and how many; of what is to be decided, what it takes.
function Wanted({ job, says }: { job: string; says: Sizing }) {
	const count = new Map<string, number>();
	for (const r of says.rules)
		for (const slot of slotsOf(job, r, says)) count.set(slot, (count.get(slot) ?? 0) + 1);
	const most = [...count].filter(([, n]) => n > 1).sort((a, b) => b[1] - a[1]);
	if (most.length === 0) return null;
	return (
		<section class="card stack" data-test="wanted">
			<h2>{sizing.wanted}</h2>
			<div class="row wrap">
				{most.slice(0, FEW).map(([slot, n]) => (
					<button
						key={slot}
						type="button"
						data-test={`wanted:${slot}`}
						onClick={() => measureFrom("", job, slot)}
					>
						{asked(slot)?.field.label} <span class="soft small">{sizing.wait(n)}</span> ▸
					</button>
				))}
			</div>
		</section>
	);
}

// Where what a rule lacks is entered, each once.
const slotsOf = (job: string, r: Rule, says: Sizing): string[] => [
	...new Set(
		says.inputs
			.filter((i) => r.open.includes(i.label))
			.flatMap((i) => wanting(i, (s) => word(job, s)))
			.filter(asked),
	),
];

interface RuleRowProps {
	job: string;
	rule: Rule;
	says: Sizing;
}

function RuleRow({ job, rule: r, says }: RuleRowProps) {
	const [isOpen, setOpen] = useState(open.has(r.id));
	const u = units.value;
	const turn = () => {
		if (isOpen) open.delete(r.id);
		else open.add(r.id);
		setOpen(!isOpen);
	};
	return (
		<li class="rule" data-test={`rule:${r.id}`}>
			<button
				type="button"
				class="rule-head"
				aria-expanded={isOpen}
				data-test={`open-rule:${r.id}`}
				onClick={turn}
			>
				<span class="grow">
					<strong class="rule-name">{r.name}</strong>
					<span class="soft small">
						{sizing.startOr(r.start)} · {r.grade}
					</span>
					<span class="soft small">{r.sources[0]?.text}</span>
				</span>
				<span class="rule-values">
					{r.values.length === 0 && <span class="soft">{sizing.rule.none}</span>}
					{r.values.map((v) => (
						<span key={`${v.what} ${v.name}`} data-test={`value:${r.id}:${v.what}:${v.name}`}>
							<span class="soft small">
								{[v.what, v.name, v.start !== r.start ? sizing.start(v.start) : ""]
									.filter((s) => s !== "")
									.join(", ")}
							</span>
							<strong>{worked(v.value, v.unit, u)}</strong>
							{v.high > v.low && (
								<span class="small">{sizing.band(worked(v.low, v.unit, u), worked(v.high, v.unit, u))}</span>
							)}
							{book(v, u) !== "" && <span class="soft small">{sizing.rule.by(book(v, u))}</span>}
						</span>
					))}
				</span>
				<span class="act" aria-hidden="true">
					{isOpen ? "▾" : "▸"}
				</span>
			</button>
			{r.open.length > 0 && <Missing job={job} rule={r} says={says} />}
			{r.outside.length > 0 && (
				<p class="row">
					<Mark kind="warn" />
					{sizing.notMeant(r.outside.join(", "))}
				</p>
			)}
			{isOpen && <Inside job={job} rule={r} says={says} />}
		</li>
	);
}

function measureFrom(rule: string, job: string, slot: string): void {
	at = rule;
	go({ screen: "measure", job, slot });
}

function Missing({ job, rule: r, says }: RuleRowProps) {
	const slots = slotsOf(job, r, says);
	// what nobody can enter as such is said all the same
	const labels = r.open.filter((l) => !says.inputs.some((i) => i.label === l && i.slot !== ""));
	return (
		<div class="row wrap rule-missing" data-test={`missing:${r.id}`}>
			<Mark kind="missing" />
			<span>{[sizing.rule.missing, ...labels].join(" ")}</span>
			{slots.map((slot) => (
				<button
					key={slot}
					type="button"
					data-test={`enter:${r.id}:${asked(slot)?.field.name}`}
					onClick={() => measureFrom(r.id, job, slot)}
				>
					{asked(slot)?.field.label} ▸
				</button>
			))}
		</div>
	);
}

// The formula with its letters, what can be changed, for what it is meant, and the sources in full.
function Inside({ job, rule: r, says }: RuleRowProps) {
	const keys = r.symbols.flatMap((s) => [s.key, ...s.rests]);
	const slots = [...new Set(says.inputs.filter((i) => keys.includes(i.key)).map((i) => i.slot))];
	const asks = slots.flatMap((s) => asked(s) ?? []);
	return (
		<div class="stack rule-inside" data-test={`inside:${r.id}`}>
			<p class="formula">{r.formula}</p>
			<ul class="rule-letters">
				{r.symbols.map((s) => (
					<LetterRow key={s.letter} letter={s} rules={says.rules} />
				))}
			</ul>
			{asks.length > 0 && (
				<>
					<h3>{sizing.rule.edit}</h3>
					{/* where a field is opened from is noted on the way to it */}
					<div
						class="cells"
						onClickCapture={() => {
							at = r.id;
						}}
					>
						{asks.map((a) => (
							<FieldCell key={a.slot} job={job} ask={a} />
						))}
					</div>
				</>
			)}
			<Take job={job} rule={r} />
			<h3>{sizing.rule.holds}</h3>
			<p>{r.holds}</p>
			{r.note !== "" && <p class="soft">{r.note}</p>}
			<h3>{sizing.rule.sourcesTitle}</h3>
			<ul class="sources">
				{r.sources.map((s) => (
					<li key={s.text}>
						{s.text} <span class="soft">({s.grade})</span>
					</li>
				))}
			</ul>
		</div>
	);
}

function LetterRow({ letter: s, rules }: { letter: Letter; rules: Rule[] }) {
	const from =
		sizing.rule.from[s.from] ?? sizing.rule.fromRule(rules.find((r) => r.id === s.from)?.name ?? s.from);
	const figure = (v: number) => withUnit(digits(v), s.unit);
	return (
		<li data-test={`letter:${s.letter}`}>
			<strong class="rule-letter">{s.letter}</strong>
			<span class="grow">
				{s.text}
				<span class="soft small rule-line">
					{[
						from,
						s.from === "usual" ? s.grade : "",
						s.low !== null && s.high !== null ? sizing.rule.range(figure(s.low), figure(s.high)) : "",
						s.limits,
					]
						.filter((w) => w !== "")
						.join(" · ")}
				</span>
				{s.outside && (
					<span class="row">
						<Mark kind="warn" />
						{sizing.rule.isOutside}
					</span>
				)}
			</span>
			<span class="rule-letter-value">{s.value === null ? text.none : figure(s.value)}</span>
		</li>
	);
}

// The primary lengths of a rule, to be taken into the decision as they are counted.
function Take({ job, rule: r }: { job: string; rule: Rule }) {
	const [fault, setFault] = useState("");
	const u = units.value;
	const lengths = r.values.filter((v) => v.what === "primary length" && v.start !== "joint");
	if (lengths.length === 0) return null;
	return (
		<div class="row wrap">
			{lengths.map((v) => {
				const taken = ruleReading(v.value, u, r.name);
				const says = `${taken.text} ${taken.unit}`;
				return (
					<button
						key={v.start}
						type="button"
						data-test={`take-length:${r.id}:${v.start}`}
						onClick={() => {
							setFault("");
							keepTogether(job, { "target/self/length": taken, "target/self/from": v.start }).then(
								(undo) => offerUndo(sizing.rule.takenLength(says, sizing.start(v.start)), undo),
								(e: unknown) => setFault(notSaved(e)),
							);
						}}
					>
						{sizing.rule.takeLength(says, sizing.start(v.start))}
					</button>
				);
			})}
			<Fault says={fault} />
		</div>
	);
}

function Fault({ says }: { says: string }) {
	if (says === "") return null;
	return (
		<p class="fault" role="alert">
			{says}
		</p>
	);
}

// Tube that is sold, near the answer, held against the rules.
function Sizes({ job, says }: { job: string; says: Sizing }) {
	const [fault, setFault] = useState("");
	const u = units.value;
	const h = sizing.sizes.head;
	const named = (s: Size) => sizing.size(figure(s.od, u), figure(s.wall, u));
	const take = (s: Size) => {
		setFault("");
		keepTogether(job, {
			"target/self/od": sizeReading(s.od, u, sizing.sizes.title),
			"target/self/wall": sizeReading(s.wall, u, sizing.sizes.title),
		}).then(
			(undo) => offerUndo(sizing.sizes.taken(named(s)), undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	const speed = (v: number | null) => (v === null ? text.none : speedIn(v, u).figure);
	if (says.sizes.length === 0) return <p class="soft">{sizing.sizes.none}</p>;
	const rules = says.sizes[0]?.against.map((a) => a.rule) ?? []; // every size is held against the same
	const unit = speedIn(0, u).unit;
	return (
		<div class="stack" data-test="sizes">
			<h3>{sizing.sizes.title}</h3>
			<div class="table">
				<table class="figures sizes">
					<thead>
						<tr>
							<th rowSpan={2}>{h.tube(u)}</th>
							{[h.id(u), h.torque(unit), h.power(unit), h.peak].map((name) => (
								<th key={name} rowSpan={2} class="num">
									{name}
								</th>
							))}
							{rules.length > 0 && (
								<th colSpan={rules.length} class="num">
									{h.off}
								</th>
							)}
							<th rowSpan={2}>
								<span class="aside">{sizing.sizes.take}</span>
							</th>
						</tr>
						<tr>
							{rules.map((id) => (
								<th key={id} class="num said">
									{says.rules.find((r) => r.id === id)?.name ?? id}
								</th>
							))}
						</tr>
					</thead>
					<tbody>
						{says.sizes.map((s) => {
							const key = `${s.od.toFixed(2)}x${s.wall.toFixed(2)}`;
							return (
								<tr key={key} class={s.chosen ? "size-chosen" : ""} data-test={`size:${key}`}>
									<th scope="row">
										<span class="size-name">{named(s)}</span>
										{s.chosen && (
											<span class="row small">
												<Mark kind="chosen" />
												{sizing.sizes.chosen(says.decision.decided)}
											</span>
										)}
										{s.in_stock && (
											<span class="row small">
												<Mark kind="agreed" />
												{sizing.sizes.inStock}
											</span>
										)}
										{s.within && <span class="soft small size-within">{sizing.sizes.within}</span>}
									</th>
									<td class="num">{figure(s.id, u)}</td>
									<td class="num">{speed(s.speed_at_torque)}</td>
									<td class="num">{speed(s.speed_at_power)}</td>
									<td class="num">{s.peak === null ? text.none : digits(s.peak)}</td>
									{s.against.map((a) => (
										<td key={a.rule} class="num">
											{signed(a.percent)}
										</td>
									))}
									<td>
										<button
											type="button"
											data-test={`take-size:${key}`}
											aria-label={sizing.sizes.takeIt(named(s))}
											disabled={s.chosen}
											onClick={() => take(s)}
										>
											{sizing.sizes.take}
										</button>
									</td>
								</tr>
							);
						})}
					</tbody>
				</table>
			</div>
			<Fault says={fault} />
			<p class="soft small">{sizing.sizes.foot}</p>
		</div>
	);
}

const signed = (v: number) => `${v > 0 ? "+" : v < 0 ? "−" : ""}${Math.abs(v).toFixed(1)}`;

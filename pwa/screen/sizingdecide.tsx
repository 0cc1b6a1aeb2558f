import { useEffect, useState } from "preact/hooks";
import { lengthReading } from "../lib/computed";
import { asked, asksFor } from "../lib/fields";
import { length, moment, notSaved } from "../lib/say";
import { decidedBy, draftOf, gives, OWN, REASON } from "../lib/sizing";
import { type Fields, keepTogether, noteText, readDraft, saveDraft, units } from "../lib/state";
import { text } from "../lib/text";
import { sizing } from "../lib/textsizing";
import type { Decision, Sizing } from "../lib/typessizing";
import { Choices } from "../part/choices";
import { FieldCell } from "../part/fieldcell";
import { Figures } from "../part/figures";
import { word } from "../part/known";
import { Mark } from "../part/mark";
import { now } from "../part/now";
import { tellSaved } from "../part/savednote";
import type { SizingPartProps } from "./sizing";

const TARGET = ["length", "from", "tolerance", "style"];
const SAID = ["length_by", "bore_by", "length_rule_gave", "bore_rule_gave"]; // by the button below them

// <SizingDecide job={…} says={…}> takes the decision: what is to be built, on which rules it rests and why; and shows
// who decided and when, and what the rules gave then beside what they give today.
// Props: job, says.  Calls: keepTogether (rules and reason), saveDraft.
export function SizingDecide({ job, says }: SizingPartProps) {
	const w = (s: string) => word(job, s);
	const of = (group: string) => asksFor("target", "self", w, group);
	const asks = [
		...of("decision").filter((a) => !SAID.includes(a.field.name)),
		...of("").filter((a) => TARGET.includes(a.field.name)),
	];
	const order = ["od", "wall", ...TARGET];
	const rank = (name: string) => (order.includes(name) ? order.indexOf(name) : order.length);
	asks.sort((a, b) => rank(a.field.name) - rank(b.field.name));
	const behind = says?.spreads.find((s) => s.what === "secondary length")?.chosen;
	return (
		<>
			{says && <State decision={says.decision} />}
			<section class="card stack">
				<h2>{sizing.decide.title}</h2>
				<p class="soft">{sizing.decide.counts}</p>
				<div class="cells">
					{asks.map((a) => (
						<FieldCell key={a.slot} job={job} ask={a} />
					))}
				</div>
				{behind && <p data-test="secondary">{sizing.decide.leaves(length(behind, units.value))}</p>}
			</section>
			{says && <Rests job={job} says={says} />}
			{says && <Gave says={says} />}
			{says && (
				<aside class="caution" data-test="caution">
					{says.cautions.map((c) => (
						<p key={c}>{c}</p>
					))}
				</aside>
			)}
		</>
	);
}

function State({ decision: d }: { decision: Decision }) {
	return (
		<section class="card stack" data-test="decision" data-decided={d.decided}>
			<p class="row big-figure">
				<Mark kind={d.decided ? "chosen" : "missing"} />
				<strong>{d.decided ? sizing.decide.isDecided : sizing.decide.open}</strong>
				{d.decided && (d.by !== "" || d.at !== "") && (
					<span class="soft" data-test="decided-by">
						{sizing.decide.by(d.by, d.at === "" ? "" : moment(d.at, now.value))}
					</span>
				)}
			</p>
			{d.missing.length > 0 && (
				<p>
					{sizing.decide.missing(
						d.missing.map((l) => (l === asked(REASON)?.field.label ? sizing.decide.ruleOrReason : l)),
					)}
				</p>
			)}
			{d.reason !== "" && <p data-test="reason-said">{d.reason}</p>}
		</section>
	);
}

const KEYS = ["bore", "length"] as const;

// On which rules it rests, and why. Nothing of it is lost before it is decided.
function Rests({ job, says }: { job: string; says: Sizing }) {
	const u = units.value;
	const [picked, setPicked] = useState<Record<string, string>>(() =>
		Object.fromEntries(KEYS.map((k) => [k, readDraft(draftOf(job, decidedBy[k].by))])),
	);
	const [typed, setTyped] = useState<string | null>(() => readDraft(draftOf(job, REASON)) || null);
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");
	const stored = noteText(job, REASON);
	const reason = typed ?? stored;
	const by = (k: (typeof KEYS)[number]) => picked[k] || word(job, decidedBy[k].by);
	const start = says.decision.from;
	const given = (k: (typeof KEYS)[number], rule: string) =>
		gives(says.spreads, decidedBy[k].what, start, rule);
	// before it is said from where, a length as the rule counts it
	const inWords = (k: (typeof KEYS)[number], rule: string) => {
		const v = given(k, rule);
		if (v !== null) return sizing.decide.gives[k](tied(length(v, u)));
		const own = says.rules.find((r) => r.id === rule)?.values.find((o) => o.what === decidedBy[k].what);
		return own
			? sizing.decide.givesFrom(tied(length(own.value, u)), sizing.start(own.start))
			: sizing.decide.givesNone;
	};
	// what was decided meanwhile, here or on another tablet, needs no draft any more
	useEffect(() => {
		if (typed === stored) setTyped(null);
	}, [typed, stored]);
	const decide = async () => {
		if (busy) return;
		setBusy(true);
		setFault("");
		const fields: Fields = {};
		for (const k of KEYS) {
			const rule = by(k);
			if (rule === "") continue;
			fields[decidedBy[k].by] = rule;
			const gave = given(k, rule);
			if (gave !== null) fields[decidedBy[k].gave] = lengthReading(gave, nameOf(says, rule));
		}
		try {
			await keepTogether(job, fields, { [REASON]: reason.trim() });
			tellSaved(sizing.decide.kept);
			setPicked({});
			setTyped(null);
		} catch (e) {
			setFault(notSaved(e));
		}
		setBusy(false);
	};
	// what a rule gave is kept with the decision, so the figures come first
	const first = says.decision.missing.filter((l) => l !== asked(REASON)?.field.label);
	const canDecide = first.length === 0 && (KEYS.some((k) => by(k) !== "") || reason.trim() !== "");
	return (
		<form
			class="card stack decide"
			data-test="decide"
			onSubmit={(e) => {
				e.preventDefault();
				void decide();
			}}
		>
			{KEYS.map((k) => (
				<div key={k} class="stack">
					<h3>{sizing.decide.rests[k]}</h3>
					<Choices
						label={sizing.decide.rests[k]}
						test={`rests:${k}`}
						value={by(k)}
						options={(asked(decidedBy[k].by)?.field.words ?? []).map((id) => {
							return {
								value: id,
								label: id === OWN ? sizing.decide.own : `${nameOf(says, id)}: ${inWords(k, id)}`,
							};
						})}
						onPick={(id) => {
							setPicked((was) => ({ ...was, [k]: id }));
							saveDraft(draftOf(job, decidedBy[k].by), id);
						}}
					/>
				</div>
			))}
			<label class="stack">
				<span class="cell-label">{sizing.decide.reason}</span>
				<textarea
					data-test="reason"
					value={reason}
					onInput={(e) => {
						setTyped(e.currentTarget.value);
						saveDraft(draftOf(job, REASON), e.currentTarget.value);
					}}
				/>
			</label>
			<p class="soft small">{sizing.decide.reasonHint}</p>
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
			<button type="submit" class="primary" data-test="decide-act" disabled={!canDecide || busy}>
				{says.decision.decided ? sizing.decide.again : sizing.decide.act}
			</button>
			<p class="soft small" data-test="needs">
				{first.length > 0 ? sizing.decide.needsFirst(first) : sizing.decide.needs}
			</p>
		</form>
	);
}

// What the rules gave when it was decided, beside what they give today.
function Gave({ says }: { says: Sizing }) {
	const d = says.decision;
	const u = units.value;
	const rows = [
		{ key: "bore", rule: d.bore_by, gave: d.bore_rule_gave, today: d.bore_rule_gives },
		{ key: "length", rule: d.length_by, gave: d.length_rule_gave, today: d.length_rule_gives },
	].filter((r) => r.rule !== "" && r.rule !== OWN && r.gave !== null);
	if (rows.length === 0) return null;
	return (
		<section class="card">
			<Figures title={sizing.decide.gaveTitle} head={sizing.decide.gaveHead} test="gave">
				{rows.map((r) => (
					<tr key={r.key} data-test={`gave:${r.key}`}>
						<th scope="row" class="said">
							{nameOf(says, r.rule)}
						</th>
						<td class="num">{length(r.gave, u)}</td>
						<td class="num">{r.today === null ? text.none : length(r.today, u)}</td>
					</tr>
				))}
			</Figures>
		</section>
	);
}

const nameOf = (says: Sizing, id: string) => says.rules.find((r) => r.id === id)?.name ?? id;

// A figure is not parted from its unit by the end of a line.
const tied = (figure: string) => figure.replaceAll(" ", "\u00a0");

import { useState } from "preact/hooks";
import { asksFor } from "../lib/fields";
import { notSaved } from "../lib/say";
import { go, keepTogether } from "../lib/state";
import { weld } from "../lib/textweld";
import type { Joint, Template, WeldPlan } from "../lib/typesweld";
import { moved, ORDER, ordered, range, TEMPLATE } from "../lib/weld";
import { Choices } from "../part/choices";
import { FieldCell } from "../part/fieldcell";
import { word } from "../part/known";
import { Mark } from "../part/mark";
import { offerUndo } from "../part/undo";
import type { WeldPartProps } from "./weld";

const t = weld.order;

const TEMPLATES: Template[] = ["tube-by-tube", "tack-all", "own"];
const SETTINGS = ["rigid", "braced", "back"];

// <WeldOrder job={…} plan={…}> chooses how the header is welded and lists its joints in order, each with the way to
// its page and keys that move it.
// Props: job, plan.  Calls: keepTogether (template, order), go.
export function WeldOrder({ job, plan }: WeldPartProps) {
	const [fault, setFault] = useState("");
	const chosen = word(job, TEMPLATE) || plan?.template || "tube-by-tube";
	const isOwn = chosen === "own";
	const joints = isOwn && plan ? ordered(plan.joints, word(job, ORDER)) : (plan?.joints ?? []);
	const keep = (what: string, fields: Record<string, string>) => {
		setFault("");
		keepTogether(job, fields).then(
			(undo) => offerUndo(what, undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	const pick = (value: string) => {
		if (value === chosen) return;
		// an own order begins as what stood before it
		const begins =
			value === "own" && word(job, ORDER) === "" ? { [ORDER]: joints.map((j) => j.id).join(" ") } : {};
		keep(t.templates[value] ?? value, { [TEMPLATE]: value, ...begins });
	};
	const move = (j: Joint, by: -1 | 1) =>
		keep(t.moved(j.name), { [TEMPLATE]: "own", [ORDER]: moved(joints, j.id, by) });
	const w = (slot: string) => word(job, slot);
	const asks = asksFor("weld", "self", w).filter((a) => SETTINGS.includes(a.field.name));
	const welds = joints.filter((j) => j.kind !== "slip");
	return (
		<>
			<section class="card stack">
				<h2>{t.how}</h2>
				<Choices
					label={t.how}
					test="template"
					value={chosen}
					options={TEMPLATES.map((v) => ({ value: v, label: t.templates[v] ?? v }))}
					onPick={pick}
				/>
				{plan && <How plan={plan} />}
				<p class="soft small">{t.contradict}</p>
				<div class="cells">
					{asks.map((a) => (
						<FieldCell key={a.slot} job={job} ask={a} />
					))}
				</div>
			</section>
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
			{joints.length > 0 && (
				<section class="card stack" data-test="joints" data-template={chosen}>
					<h2>{t.list}</h2>
					<p class="row">
						<strong>{t.done(welds.filter((j) => j.welded).length, welds.length)}</strong>
						<span class="soft">{t.moves}</span>
					</p>
					<ol class="joint-list">
						{joints.map((j, i) => (
							<li key={j.id} class="joint-row" data-test={`joint-row:${j.id}`}>
								<Row job={job} joint={j} n={i + 1} />
								<button
									type="button"
									class="joint-move"
									aria-label={t.up(j.name)}
									data-test={`up:${j.id}`}
									disabled={i === 0}
									onClick={() => move(j, -1)}
								>
									▲
								</button>
								<button
									type="button"
									class="joint-move"
									aria-label={t.down(j.name)}
									data-test={`down:${j.id}`}
									disabled={i === joints.length - 1}
									onClick={() => move(j, 1)}
								>
									▼
								</button>
							</li>
						))}
					</ol>
				</section>
			)}
		</>
	);
}

function How({ plan }: { plan: WeldPlan }) {
	return (
		<div data-test="how">
			<ul class="plain-list">
				{plan.how.map((s) => (
					<li key={s}>{s}</li>
				))}
			</ul>
			<p class="soft small">{weld.grade(plan.about.text, plan.about.grade)}</p>
		</div>
	);
}

function Row({ job, joint: j, n }: { job: string; joint: Joint; n: number }) {
	const a = j.amps;
	const says = j.welded ? t.welded : j.tacked ? t.tacked : "";
	return (
		<button
			type="button"
			class="joint-way plain"
			data-test={`joint:${j.id}`}
			onClick={() => go({ screen: "weld", job, id: "order", slot: j.id })}
		>
			<span class="joint-n">{n}</span>
			<Mark kind={j.welded ? "agreed" : "missing"} />
			<span class="joint-name">
				<strong>{j.name}</strong>
				<span class="soft small">
					{a === null ? t.slips : t.amps(a.low, a.high, range(a.rule, a.rule, 1))}
					{says !== "" && `, ${says}`}
				</span>
				{j.bench && !j.welded && <span class="joint-bench">△ {t.bench}</span>}
			</span>
			<span class="act">▸</span>
		</button>
	);
}

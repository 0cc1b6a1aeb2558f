import { useState } from "preact/hooks";
import type { Side } from "../lib/face";
import { figure, length, type Maybe } from "../lib/say";
import { listOf, type PlanFlange, type PlanPattern, units, view } from "../lib/state";
import { flange } from "../lib/textflange";
import type { OnFace, PlanOpening } from "../lib/typesflange";
import { FaceDrawing, type Overlay } from "./facedrawing";
import { Figures } from "./figures";
import { findingsOf } from "./findingsof";
import { nameOf, titleOf, word } from "./known";
import { Mark, type MarkKind } from "./mark";
import { Resting } from "./resting";
import { shortName } from "./shortname";
import { SideSwitch } from "./sideswitch";
import { areaFigure, areaUnit } from "./tubeends";
import { playOf } from "./waysround";

/** patternPlan is what the plan says of a pattern, with the flange of its bank. */
export function patternPlan(job: string, id: string): { of: PlanFlange; plan: PlanPattern } | null {
	const flanges = view.value?.job === job ? (view.value.plan.flanges ?? []) : [];
	for (const of of flanges) {
		const plan = of.patterns?.find((p) => p.id === id);
		if (plan) return { of, plan };
	}
	return null;
}

/** SHADES is up to how far, in mm, a pattern stands into a port without being worth a word; as the findings have it. */
const SHADES = 0.1;

/** patternMark is how a pattern stands by what was found of it: it is not to be used, to be looked at, or it fits. */
export function patternMark(job: string, p: PlanPattern): MarkKind {
	if (!p.how) return "missing";
	const found = findingsOf(job, "pattern", p.id).map((f) => f.severity);
	return found.includes("stop") ? "stop" : found.includes("warn") ? "warn" : "agreed";
}

const boltsMark = (p: PlanPattern): MarkKind =>
	p.bolts_go_in === false ? "stop" : p.certain || typeof p.room !== "number" ? "warn" : "agreed";

const isShade = (o: PlanOpening) => (o.shadow ?? 0) > SHADES;

/** verdictOf says in a few words how a pattern fits. */
export function verdictOf(job: string, p: PlanPattern): string {
	const u = units.value;
	const t = flange.patterns;
	if (!p.how) return t.notLaid;
	const deepest = Math.max(0, ...p.openings.map((o) => o.shadow ?? 0));
	const bolts =
		typeof p.bolts_go_in !== "boolean" ? t.playFor(length(p.minimax, u)) : p.bolts_go_in ? t.fits : t.fitsNot;
	const off = p.certain ? p.holes.find((h) => h.id === p.worst)?.miss : undefined;
	const words = deepest > SHADES ? [bolts, t.shadow(length(deepest, u))] : [bolts];
	const lacking = p.unmatched.filter((id) => listOf(job, "bolt").some((b) => b.id === id)).length;
	if (typeof off === "number" && p.worst) words.push(t.off(shortName(job, p.worst), length(off, u)));
	return [...words, ...(lacking > 0 ? [t.lacks(lacking)] : [])].join(", ");
}

// <PatternFit job={…} id="g1"> is a bought flange, a gasket or a drawing laid over the head: a drawing with what it
// covers of the ports and how far each hole is off, the verdict in words, and the figures.
// Props: job, id (of the pattern).  Calls: nothing.
export function PatternFit({ job, id }: { job: string; id: string }) {
	const [side, setSide] = useState<Side>("tubes");
	const t = flange.pattern;
	const found = patternPlan(job, id);
	if (!found) return null;
	const { of, plan } = found;
	if (!plan.how)
		return (
			<section class="card stack" data-test="pattern-fit">
				<p class="row">
					<Mark kind="missing" />
					{t.cannot(plan.why)}
				</p>
			</section>
		);
	const measured = t.measured[word(job, `pattern/${id}/side`)] ?? "";
	return (
		<section class="card stack design" data-test="pattern-fit">
			<h2>{t.title}</h2>
			<Resting job={job} slots={plan.disputed} />
			<SideSwitch side={side} onSide={setSide} />
			<FaceDrawing job={job} flange={of} side={side} over={laidOver(of, plan)} />
			<p class="row" data-test="pattern-verdict">
				<Mark kind={boltsMark(plan)} />
				<strong>{playOf(plan)}</strong>
			</p>
			<p>
				{measured} {t.lies(plan.how === "as it lies" ? t.asItLies : plan.how)}
			</p>
			{plan.unmatched.length > 0 && (
				<p class="row" data-test="unmatched">
					<Mark kind="warn" />
					{t.unmatched(plan.unmatched.map((u) => shortName(job, u)).join(", "))}
				</p>
			)}
			{plan.holes.length > 0 && <Holes job={job} plan={plan} />}
			{plan.openings.length > 0 && <Openings job={job} plan={plan} />}
		</section>
	);
}

function Holes({ job, plan }: { job: string; plan: PlanPattern }) {
	const u = units.value;
	const t = flange.pattern;
	return (
		<Figures
			title={t.holes}
			head={[t.hole, t.bolt, `${t.miss}, ${u}`, t.dir, `${t.room}, ${u}`]}
			foot={typeof plan.room === "number" ? t.roomHint : t.noRoom}
			test="pattern-holes"
		>
			{plan.holes.map((h) => (
				<tr key={h.id} data-test="pattern-hole">
					<th scope="row">
						<span class="named">
							<Mark kind={h.bolt === "" ? "missing" : markOfHole(plan, h.id, h.room)} />
							{titleOf(job, "hole", h.id)}
						</span>
					</th>
					<td class="num said">{h.bolt === "" ? t.noMate : nameOf(job, h.bolt)}</td>
					<td class="num">{figure(h.miss, u)}</td>
					<td class="num said">{h.off ? whereTo(h.off) : ""}</td>
					<td class="num">{figure(h.room, u)}</td>
				</tr>
			))}
		</Figures>
	);
}

function markOfHole(plan: PlanPattern, id: string, room: Maybe): MarkKind {
	if (typeof room === "number" && room < 0) return "stop";
	return plan.certain && plan.worst === id ? "warn" : "agreed";
}

// In words, as seen from the tubes; a hundredth of a millimetre is on it.
function whereTo([x, y]: OnFace): string {
	const u = units.value;
	const t = flange.pattern;
	const words: string[] = [];
	if (Math.abs(x) >= 0.01) words.push((x > 0 ? t.right : t.left)(figure(Math.abs(x), u)));
	if (Math.abs(y) >= 0.01) words.push((y > 0 ? t.up : t.down)(figure(Math.abs(y), u)));
	return words.length === 0 ? t.onIt : words.join(", ");
}

function Openings({ job, plan }: { job: string; plan: PlanPattern }) {
	const u = units.value;
	const t = flange.pattern;
	return (
		<Figures
			title={t.openings}
			head={[
				t.opening,
				t.port,
				`${t.shadow}, ${u}`,
				`${t.covers}, ${areaUnit()}`,
				`${t.clear}, ${u}`,
				`${t.beyond}, ${u}`,
			]}
			test="pattern-openings"
		>
			{plan.openings.map((o) => (
				<tr key={o.id} data-test="pattern-opening">
					<th scope="row">
						<span class="named">
							<Mark kind={o.port === "" ? "missing" : isShade(o) ? "warn" : "agreed"} />
							<span>
								{titleOf(job, "opening", o.id)}
								{isShade(o) && <strong class="named-word">{t.standing.in}</strong>}
							</span>
						</span>
					</th>
					<td class="num said">{o.port === "" ? "" : nameOf(job, o.port)}</td>
					<td class="num">{figure(o.shadow, u)}</td>
					<td class="num">{typeof o.shadow_area === "number" ? areaFigure(o.shadow_area) : ""}</td>
					<td class="num">{figure(o.clear, u)}</td>
					<td class="num">{figure(o.beyond, u)}</td>
				</tr>
			))}
		</Figures>
	);
}

function laidOver(of: PlanFlange, p: PlanPattern): Overlay {
	return {
		what: "pattern",
		loops: [...(p.loop.length > 0 ? [p.loop] : []), ...p.openings.map((o) => o.loop)],
		holes: p.holes.map((h) => ({ at: h.at, r: h.diameter / 2 })),
		misses: p.holes.flatMap((h) =>
			h.off
				? [
						{
							at: [h.at[0] - h.off[0], h.at[1] - h.off[1]],
							off: h.off,
							say: p.worst === h.id ? length(h.miss, units.value) : "",
						},
					]
				: [],
		),
		shadows: p.openings.flatMap((o) => {
			const port = of.ports.find((q) => q.id === o.port)?.loop ?? [];
			if (!isShade(o) || !o.shadow_at || port.length === 0) return [];
			return [
				{
					port,
					opening: o.loop,
					at: o.shadow_at,
					say: length(o.shadow, units.value),
				},
			];
		}),
	};
}

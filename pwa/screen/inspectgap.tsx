import { useState } from "preact/hooks";
import { gaugesOf, keepRod, newGauge, type Pair, pairKey, pairOf, RODS, rodReading } from "../lib/inspect";
import { length, notSaved } from "../lib/say";
import { go, listOf, removeEntity, units, view } from "../lib/state";
import { inspect } from "../lib/textinspect";
import type { InspectionPlan } from "../lib/typesinspect";
import { Choices } from "../part/choices";
import { openedFromInspection } from "../part/inspectway";
import { known, titleOf, word } from "../part/known";
import { LongRun, useLong } from "../part/longrun";
import { Page } from "../part/page";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";
import { Readings } from "../part/readings";
import { offerUndo } from "../part/undo";
import { GapSays, GapVerdict } from "./inspectgaps";

const t = inspect.gap;

// <InspectGap job={…} gap="t1/n1/fitted" id=""> tries rods in one gap: a tap for the largest that goes, one for the
// smallest that does not. What that tells stands above at once.
// Props: job, gap (both sides and when; open sides are asked for), id (under which it was tried, "" the latest).
// Calls: keepRod, newGauge, removeEntity, go.
export function InspectGap({ job, gap, id }: { job: string; gap: string; id: string }) {
	const pair = pairOf(gap);
	openedFromInspection({ screen: "gap", job, slot: gap, ...(id !== "" && { id }) });
	const worked = useLong<InspectionPlan>("inspection", job);
	const back = { screen: "inspect", job, id: pair.at };
	const say = (slot: string) => word(job, slot);
	const gauge = pair.a === "" || pair.b === "" ? "" : id || (gaugesOf(job, pair, say).at(-1) ?? "");
	const found = worked.answer?.gauges.find((g) => g.id === gauge);
	const name = found?.name ?? sidesOf(job, pair);
	return (
		<Page title={t.title(name)} back={back} extra={<span class="soft">{inspect.when[pair.at]}</span>}>
			{worked.state !== "running" && <LongRun kind="inspection" job={job} worked={worked} />}
			{pair.a === "" || pair.b === "" ? (
				<Sides job={job} pair={pair} />
			) : (
				<div class="stack" data-test="gap-page" data-ready={worked.state === "done"}>
					<section class={worked.isStale ? "card stack stale" : "card stack"}>
						{found ? (
							<>
								<GapVerdict gauge={found} />
								<GapSays gauge={found} />
							</>
						) : (
							<Before job={job} pair={pair} />
						)}
						<p class="soft">{t.why}</p>
					</section>
					<Rods job={job} pair={pair} gauge={gauge} field="goes" />
					<Rods job={job} pair={pair} gauge={gauge} field="stops" />
					{gauge !== "" && <Kept job={job} gauge={gauge} name={name} back={back} />}
				</div>
			)}
		</Page>
	);
}

const isTube = (job: string, id: string) => listOf(job, "tube").some((e) => e.id === id);

function sidesOf(job: string, p: Pair): string {
	if (p.a === "" || p.b === "") return "";
	return [p.a, p.b].map((id) => titleOf(job, isTube(job, id) ? "tube" : "neighbour", id)).join(" – ");
}

// What was planned of a gap that was not tried yet.
function Before({ job, pair }: { job: string; pair: Pair }) {
	const g = view.value?.plan.gaps?.find(
		(o) => (o.a === pair.a && o.b === pair.b) || (o.a === pair.b && o.b === pair.a),
	);
	const u = units.value;
	if (!g) return <p class="soft">{sidesOf(job, pair)}</p>;
	return (
		<p data-test="gap-planned">
			{t.planned} <strong>{length(g.gap, u)}</strong>, {t.wanted} {length(g.wanted, u)}
		</p>
	);
}

// Both sides of a gap that is not listed.
function Sides({ job, pair }: { job: string; pair: Pair }) {
	const to = (p: Pair) => go({ screen: "gap", job, slot: pairKey(p) });
	const of = (kind: string) =>
		listOf(job, kind).map((e) => ({ value: e.id, label: titleOf(job, kind, e.id) }));
	return (
		<section class="card stack">
			<h2>{pair.a === "" ? t.from : t.to}</h2>
			{pair.a === "" ? (
				<Choices
					label={t.from}
					options={of("tube")}
					value=""
					test="from"
					onPick={(a) => to({ ...pair, a })}
				/>
			) : (
				<Choices
					label={t.to}
					options={[...of("neighbour"), ...of("tube").filter((o) => o.value !== pair.a)]}
					value=""
					test="to"
					onPick={(b) => to({ ...pair, b })}
				/>
			)}
		</section>
	);
}

interface RodsProps {
	job: string;
	pair: Pair;
	gauge: string;
	field: "goes" | "stops";
}

// <Rods job pair gauge field> offers the rods of every shop, and the keypad for another one. What cannot be beside the
// other answer is off.
// Props: job, pair, gauge ("" before anything was tried), field.  Calls: keepRod, newGauge, go.
function Rods({ job, pair, gauge, field }: RodsProps) {
	const [fault, setFault] = useState("");
	const nm = (f: string) => (gauge === "" ? undefined : known(job, `gauge/${gauge}/${f}`).heads.at(-1)?.nm);
	const now = nm(field);
	const other = nm(field === "goes" ? "stops" : "goes");
	const rods = field === "goes" ? ["", ...RODS] : [...RODS];
	const cannot = (v: number) => other !== undefined && (field === "goes" ? v >= other : v <= other);
	const label = field === "goes" ? t.goes : t.stops;
	const fails = (e: unknown) => setFault(notSaved(e));
	const pick = (rod: string) => {
		setFault("");
		keepRod(job, pair, gauge, field, rod).then(
			(undo) => offerUndo(t.took(label, rod === "" ? t.noneGoes : t.rod(rod)), undo),
			fails,
		);
	};
	const type = () => {
		const to = (id: string) => go({ screen: "measure", job, slot: `gauge/${id}/${field}` });
		if (gauge !== "") to(gauge);
		else newGauge(job, pair).then(to, fails);
	};
	const isOwn = now !== undefined && !rods.some((r) => rodReading(r).v === now);
	return (
		<section class="card stack">
			<h2>{label}</h2>
			<fieldset class="rods">
				<legend class="aside">{label}</legend>
				{rods.map((r) => {
					const { v } = rodReading(r);
					return (
						<button
							key={r}
							type="button"
							class={now === v ? "rod picked" : "rod"}
							aria-pressed={now === v}
							disabled={cannot(v)}
							data-test={`${field}:${r === "" ? "none" : r}`}
							onClick={() => pick(r)}
						>
							<strong>{r === "" ? t.noneGoes : t.rod(r)}</strong>
							{r !== "" && <span class="soft small">{length(v / 1e6, "mm")}</span>}
						</button>
					);
				})}
				<button
					type="button"
					class={isOwn ? "rod picked" : "rod"}
					aria-pressed={isOwn}
					data-test={`${field}:own`}
					onClick={type}
				>
					<strong>{isOwn ? length(now / 1e6, units.value) : t.own}</strong>
				</button>
			</fieldset>
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</section>
	);
}

// Photos and earlier readings of a gap, and the way to take it out.
function Kept({
	job,
	gauge,
	name,
	back,
}: {
	job: string;
	gauge: string;
	name: string;
	back: Parameters<typeof go>[0];
}) {
	const [fault, setFault] = useState("");
	const slot = `gauge/${gauge}/goes`;
	const remove = () =>
		removeEntity(job, "gauge", gauge).then(
			(undo) => {
				offerUndo(t.removed, undo);
				go(back);
			},
			(e: unknown) => setFault(notSaved(e)),
		);
	return (
		<section class="card stack">
			<div class="row wrap">
				<PhotoButton job={job} slot={slot} what={name} />
				<Photos job={job} slot={slot} />
			</div>
			<Readings job={job} slot={slot} />
			<Readings job={job} slot={`gauge/${gauge}/stops`} />
			<button type="button" class="plain" data-test="remove-gap" onClick={remove}>
				{t.remove}
			</button>
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</section>
	);
}

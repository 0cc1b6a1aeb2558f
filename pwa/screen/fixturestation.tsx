import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { lengthReading } from "../lib/computed";
import { asksFor } from "../lib/fields";
import { keepStations, movedKey, straightAt } from "../lib/fixture";
import { degrees, length, notSaved, offset } from "../lib/say";
import { go, readDraft, removeEntity, saveDraft, takeOut, units, view } from "../lib/state";
import { text } from "../lib/text";
import { fixture } from "../lib/textfixture";
import type { FixturePlan, FixtureStation } from "../lib/typesfixture";
import { Caution } from "../part/caution";
import { Choices } from "../part/choices";
import { FieldCell } from "../part/fieldcell";
import { FindingRow } from "../part/finding";
import { openedFromFixture } from "../part/fixtureway";
import { HoldMark } from "../part/holdmark";
import { nameOf, word } from "../part/known";
import { LongRun, useLong } from "../part/longrun";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { StationDrawing } from "../part/stationdrawing";
import { offerUndo } from "../part/undo";
import { ViewSwitch } from "../part/viewswitch";
import { ClampCheck } from "./fixturecheck";

const t = fixture.station;

/** How far a tap moves a station, in mm; in inches 1/16 and 1/4. */
const STEPS = { mm: [5, 1], in: [6.35, 1.5875] } as const;

// <FixtureStationPage job={…} id="t1-2"> is one station: where it holds, moved by large steps or typed, its post and
// cradle, whether it comes off, and whether it was really clamped there.
// Props: job, id (as the plan has it).  Calls: go; its parts call what they call.
export function FixtureStationPage({ job, id }: { job: string; id: string }) {
	openedFromFixture({ screen: "station", job, id });
	const worked = useLong<FixturePlan>("fixture", job);
	const plan = worked.answer;
	const s = plan?.stations.find((o) => o.id === id);
	const back = { screen: "fixture", job, id: "stations" };
	if (!plan || !s)
		return (
			<Page title={t.title("")} back={back}>
				<LongRun kind="fixture" job={job} worked={worked} />
				{plan && worked.state === "done" && <p class="card soft">{fixture.list.gone}</p>}
			</Page>
		);
	return (
		<Page title={t.title(s.name)} back={back} extra={<ViewSwitch />}>
			{worked.state !== "running" && <LongRun kind="fixture" job={job} worked={worked} />}
			<div
				class={worked.isStale ? "stale" : ""}
				data-test="station-page"
				data-ready={worked.state === "done"}
				data-suggested={s.suggested}
			>
				<div class="split">
					<div class="stack">
						<Place key={`${s.id} ${s.along}`} job={job} plan={plan} station={s} />
						<Holds job={job} station={s} />
					</div>
					<div class="stack">
						<PostFigures job={job} station={s} />
						<Side job={job} station={s} />
						{!s.suggested && (
							<section class="card stack">
								<h2>{fixture.check.title}</h2>
								<ClampCheck job={job} station={s} />
							</section>
						)}
						<Found job={job} plan={plan} id={id} />
						<Remove job={job} station={s} />
						<Caution>
							<p>{fixture.caution}</p>
						</Caution>
					</div>
				</div>
			</div>
		</Page>
	);
}

interface StationProps {
	job: string;
	station: FixtureStation;
}

// Where it holds. Steps move a mark on the drawing; nothing is kept before the key at their foot.
function Place({ job, plan, station: s }: StationProps & { plan: FixturePlan }) {
	const u = units.value;
	const key = movedKey(job, s.id);
	const [moved, setMoved] = useState(() => Number(readDraft(key)) || 0);
	const [fault, setFault] = useState("");
	const pieces = view.value?.plan.tubes?.find((tube) => tube.id === s.tube)?.pieces ?? [];
	const straight = straightAt(pieces, s.along); // null on a bend or a collector
	const along = s.along + moved;
	const isOn = along >= (straight?.from ?? 0) && along <= (straight?.to ?? Number.POSITIVE_INFINITY);
	const put = (by: number) => {
		setMoved(by);
		setFault("");
		saveDraft(key, by === 0 ? "" : String(by));
	};
	const keep = async () => {
		setFault("");
		const fields = moved === 0 ? {} : { along: lengthReading(along, fixture.title) };
		try {
			const undo = await keepStations(job, [s], fields);
			put(0);
			offerUndo(t.said(s.name, length(along, u)), undo);
		} catch (e) {
			setFault(notSaved(e));
		}
	};
	const type = async () => {
		setFault("");
		try {
			if (s.suggested) await keepStations(job, [s]);
			go({ screen: "measure", job, slot: `station/${s.id}/along` });
		} catch (e) {
			setFault(notSaved(e));
		}
	};
	const others = plan.stations
		.filter(
			(o) => o.id !== s.id && o.tube === s.tube && o.collector === s.collector && o.straight === s.straight,
		)
		.map((o) => ({ name: o.name, at: o.along }));
	return (
		<section class="card stack" data-test="place" data-along={s.along}>
			<h2>{t.where}</h2>
			<p class="soft">{t.whereWhy}</p>
			{straight && <StationDrawing name={s.name} straight={straight} at={along} others={others} />}
			<p class="row">
				<Mark kind={s.suggested ? "missing" : "chosen"} />
				<span class="grow">
					<strong class="station-echo" data-test="along-now">
						{length(along, u)}
					</strong>
				</span>
				<span class="soft">
					{moved === 0 ? (s.suggested ? t.asIs : fixture.list.kept) : t.moved(offset(moved, u))}
				</span>
			</p>
			<div class="station-keys">
				{[-STEPS[u][0], -STEPS[u][1], STEPS[u][1], STEPS[u][0]].map((by) => (
					<button
						key={by}
						type="button"
						class="key"
						aria-label={(by < 0 ? t.less : t.more)(length(Math.abs(by), u))}
						data-test={`step:${by}`}
						onClick={() => put(Math.round((moved + by) * 1e4) / 1e4)}
					>
						{by < 0 ? "−" : "+"}
						<span class="station-step">{stepWords(Math.abs(by), u)}</span>
					</button>
				))}
			</div>
			{!isOn && (
				<p class="fault" role="alert" data-test="off-straight">
					{t.outside(length(straight?.from ?? 0, u), length(straight?.to, u))}
				</p>
			)}
			<div class="row wrap">
				<button type="button" class="grow" data-test="type-along" onClick={type}>
					{t.type} ▸
				</button>
				{moved !== 0 && (
					<button type="button" class="grow" data-test="move-back" onClick={() => put(0)}>
						{t.back}
					</button>
				)}
				<button
					type="button"
					class="primary grow"
					data-test="keep-place"
					disabled={(moved === 0 && !s.suggested) || !isOn}
					onClick={keep}
				>
					{moved === 0 ? t.keepHere : t.move(length(along, u))}
				</button>
			</div>
			<Fault says={fault} />
		</section>
	);
}

// A step as it is marked on a rule.
function stepWords(by: number, u: "mm" | "in"): string {
	if (u === "mm") return `${by} mm`;
	return by < 3 ? "1/16 in" : "1/4 in";
}

function Holds({ job, station: s }: StationProps) {
	const [fault, setFault] = useState("");
	const slot = `station/${s.id}/removable`;
	const said = word(job, slot);
	const pick = (w: string) => {
		setFault("");
		const acts = w === "" ? takeOut(job, [slot]) : keepStations(job, [s], { removable: w });
		const says = w === "" ? t.computed(s.removable) : w === "yes" ? t.yes : t.no;
		acts.then(
			(undo) => offerUndo(t.said(s.name, says), undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	return (
		<section class="card stack" data-test="holds">
			<div class="row">
				<h2 class="grow">{t.holds}</h2>
				<HoldMark removable={s.removable} words={s.removable ? fixture.list.removable : fixture.list.fixed} />
			</div>
			<p class="soft">{t.holdsWhy}</p>
			<Choices
				label={t.holds}
				options={[
					{ value: "", label: said === "" ? t.computed(s.removable) : t.asIs },
					{ value: "yes", label: t.yes },
					{ value: "no", label: t.no },
				]}
				value={said}
				test="removable"
				onPick={pick}
			/>
			<Fault says={fault} />
		</section>
	);
}

function PostFigures({ job, station: s }: StationProps) {
	const u = units.value;
	const rows: [string, string][] = [
		[t.post, length(s.post, u)],
		[t.axis, length(s.axis_height, u)],
		[t.angle, degrees(s.cradle_angle)],
		[t.turn, degrees(s.cradle_turn)],
		[t.wrap, degrees(s.wrap)],
		[t.spacer, s.spacer === null ? text.none : length(s.spacer, u)],
		[t.clearance, s.clearance === null ? text.none : length(s.clearance, u)],
		...(s.nearest === "" ? [] : [[t.nearest, nameOf(job, s.nearest)] as [string, string]]),
	];
	return (
		<section class="card stack" data-test="post">
			<h2>{t.figures}</h2>
			<dl class="piece-figures">
				{rows.map(([what, says]) => (
					<div key={what}>
						<dt class="soft">{what}</dt>
						<dd>{says}</dd>
					</div>
				))}
			</dl>
		</section>
	);
}

const ASIDE = ["on", "along", "removable", "leave_out", "number"]; // asked elsewhere on the page

function Side({ job, station: s }: StationProps) {
	const [fault, setFault] = useState("");
	const asks = asksFor("station", s.id, (slot) => word(job, slot)).filter(
		(a) => !ASIDE.includes(a.field.name),
	);
	let shown: ComponentChildren = (
		<div class="cells">
			{asks.map((a) => (
				<FieldCell key={a.slot} job={job} ask={a} />
			))}
		</div>
	);
	if (s.suggested)
		shown = (
			<>
				<p>{t.keepFirst}</p>
				<button
					type="button"
					data-test="keep-station"
					onClick={() =>
						keepStations(job, [s]).then(
							(undo) => offerUndo(fixture.list.keptSay(s.name), undo),
							(e: unknown) => setFault(notSaved(e)),
						)
					}
				>
					{t.keep}
				</button>
			</>
		);
	return (
		<section class="card stack" data-test="side">
			<h2>{t.side}</h2>
			<p class="soft">{t.sideWhy}</p>
			{shown}
			<Fault says={fault} />
		</section>
	);
}

function Found({ job, plan, id }: { job: string; plan: FixturePlan; id: string }) {
	const list = plan.findings.filter(
		(f) => f.where?.includes(id) || f.slots?.some((x) => x.startsWith(`station/${id}/`)),
	);
	if (list.length === 0) return null;
	return (
		<section class="card stack">
			<h2>{fixture.looks}</h2>
			<ul>
				{list.map((f) => (
					<FindingRow key={`${f.rule} ${f.text}`} job={job} finding={f} />
				))}
			</ul>
		</section>
	);
}

// A suggested one would come again: that there is none here is said of it.
function Remove({ job, station: s }: StationProps) {
	const act = () =>
		s.suggested ? keepStations(job, [s], { leave_out: "yes" }) : removeEntity(job, "station", s.id);
	return (
		<button
			type="button"
			class="plain"
			data-test="remove-station"
			onClick={() =>
				act().then(
					(undo) => {
						offerUndo(t.removed(s.name), undo);
						go({ screen: "fixture", job, id: "stations" });
					},
					() => {},
				)
			}
		>
			{t.remove(s.name)}
		</button>
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

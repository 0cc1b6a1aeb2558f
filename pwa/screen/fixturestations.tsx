import { useState } from "preact/hooks";
import { keepStations } from "../lib/fixture";
import { degrees, length, notSaved } from "../lib/say";
import { addEntity, go, listOf, removeEntity, units } from "../lib/state";
import { fixture } from "../lib/textfixture";
import type { FixtureStation, NoRoom } from "../lib/typesfixture";
import { HoldMark } from "../part/holdmark";
import { nameOf, titleOf, word } from "../part/known";
import { Mark } from "../part/mark";
import { offerUndo } from "../part/undo";
import type { FixturePartProps } from "./fixture";

const t = fixture.list;

// <FixtureStations job={…} plan={…}> lists where each tube is held, the suggested ones to be kept one by one or all at
// once, and the straights that have no room.
// Props: job, plan.  Calls: keepStations, go.
export function FixtureStations({ job, plan }: FixturePartProps) {
	const [fault, setFault] = useState("");
	if (!plan) return null;
	const open = plan.stations.filter((s) => s.suggested);
	const keep = (list: FixtureStation[]) => {
		setFault("");
		keepStations(job, list).then(
			(undo) => offerUndo(t.keptSay(list.map((s) => s.name).join(", ")), undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	return (
		<>
			<p class="soft">{t.why}</p>
			{open.length > 0 && (
				<button type="button" class="primary" data-test="keep-all" onClick={() => keep(open)}>
					{t.keepAll(open.length)}
				</button>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
			{ownersOf(plan.stations, plan.no_room).map(({ kind, id }) => {
				const own = plan.stations.filter((s) => (kind === "tube" ? s.tube : s.collector) === id);
				return (
					<section key={id} class="card stack" data-test={`stations:${id}`}>
						<h2>{titleOf(job, kind, id)}</h2>
						{own.length === 0 && <p class="soft">{t.none}</p>}
						<ul class="station-list">
							{own.map((s) => (
								<Row key={s.id} job={job} station={s} onKeep={() => keep([s])} />
							))}
						</ul>
						<button type="button" class="plain" data-test={`add-station:${id}`} onClick={() => add(job, id)}>
							{t.add}
						</button>
						<LeftOut job={job} on={id} />
						<NoRooms list={kind === "tube" ? plan.no_room.filter((n) => n.tube === id) : []} />
					</section>
				);
			})}
		</>
	);
}

// The tubes and collectors that are held, in the order in which the plan has them.
function ownersOf(
	stations: FixtureStation[],
	noRoom: NoRoom[],
): { kind: "tube" | "collector"; id: string }[] {
	const tubes = [...new Set([...stations.map((s) => s.tube), ...noRoom.map((n) => n.tube)])];
	const collectors = [...new Set(stations.map((s) => s.collector))];
	return [
		...tubes.filter((id) => id !== "").map((id) => ({ kind: "tube" as const, id })),
		...collectors.filter((id) => id !== "").map((id) => ({ kind: "collector" as const, id })),
	];
}

interface RowProps {
	job: string;
	station: FixtureStation;
	onKeep: () => void;
}

function Row({ job, station: s, onKeep }: RowProps) {
	const u = units.value;
	const facts = [
		s.to_bend_before === null ? "" : t.before(length(s.to_bend_before, u)),
		s.to_bend_after === null ? "" : t.after(length(s.to_bend_after, u)),
		t.post(length(s.post, u)),
		t.cradle(degrees(s.cradle_angle)),
		s.spacer === null ? "" : t.spacer(length(s.spacer, u)),
		s.arm > 0 ? t.side(length(s.arm, u)) : "",
		s.joint === "" ? "" : t.inTorch,
		s.clearance === null
			? ""
			: t.clear(length(s.clearance, u), s.nearest === "" ? "" : nameOf(job, s.nearest)),
	];
	return (
		<li class="station-row">
			<button
				type="button"
				class="plain station-way"
				data-test={`station:${s.id}`}
				data-suggested={s.suggested}
				data-removable={s.removable}
				data-along={s.along}
				onClick={() => go({ screen: "station", job, id: s.id })}
			>
				<span class="row">
					<Mark kind={s.suggested ? "missing" : "chosen"} />
					<strong class="station-name">{s.name}</strong>
					<span class="soft small">{s.suggested ? t.suggested : t.kept}</span>
				</span>
				<span class="station-along">
					<strong>{length(s.along, u)}</strong>
					<span class="soft small">{t.along}</span>
				</span>
				<HoldMark removable={s.removable} words={s.removable ? t.removable : t.fixed} />
				<span class="soft small station-facts">{facts.filter((f) => f !== "").join(" · ")}</span>
			</button>
			{s.suggested && (
				<button
					type="button"
					aria-label={t.keepOne(s.name)}
					data-test={`keep-station:${s.id}`}
					onClick={onKeep}
				>
					{t.keep}
				</button>
			)}
		</li>
	);
}

// A station of a person's own begins with where it holds.
async function add(job: string, on: string): Promise<void> {
	const id = await addEntity(job, "station", "", { on }).catch(() => "");
	if (id !== "") go({ screen: "measure", job, slot: `station/${id}/along` });
}

// Places that shall stay without a station.
function LeftOut({ job, on }: { job: string; on: string }) {
	const is = (id: string, field: string) => word(job, `station/${id}/${field}`);
	const list = listOf(job, "station").filter((e) => is(e.id, "on") === on && is(e.id, "leave_out") === "yes");
	if (list.length === 0) return null;
	return (
		<div class="row wrap" data-test={`left-out:${on}`}>
			<span class="soft">{t.leftOut}:</span>
			{list.map((e) => (
				<button
					key={e.id}
					type="button"
					class="plain"
					data-test={`station-again:${e.id}`}
					onClick={() => removeEntity(job, "station", e.id).catch(() => {})}
				>
					{t.again(titleOf(job, "station", e.id))}
				</button>
			))}
		</div>
	);
}

function NoRooms({ list }: { list: NoRoom[] }) {
	const u = units.value;
	if (list.length === 0) return null;
	return (
		<div class="stack" data-test="no-room">
			<h3>{t.noRoom}</h3>
			<ul>
				{list.map((n) => (
					<li key={`${n.tube} ${n.straight}`} class="row">
						<Mark kind="note" />
						<span>{n.text || t.noRoomRow(n.straight, length(n.length, u), length(n.needed, u))}</span>
					</li>
				))}
			</ul>
			<p class="soft small">{t.noRoomWhy}</p>
		</div>
	);
}

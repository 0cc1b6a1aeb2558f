import { useMemo, useRef, useState } from "preact/hooks";
import { length } from "../lib/say";
import { fixtureItems, tagsOf } from "../lib/solid/fixture";
import { gapKey, spare, worstFirst } from "../lib/solid/gaps";
import { itemsOf, namePlaces } from "../lib/solid/model";
import { noteText, type Plan, type PlanGap, type Point, type Route, units, view } from "../lib/state";
import { solid } from "../lib/textsolid";
import { tubes } from "../lib/texttube";
import type { FixturePlan } from "../lib/typesfixture";
import { HoldMark } from "../part/holdmark";
import { numberOf, titleOf } from "../part/known";
import { LongRun, useLong } from "../part/longrun";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { facesOf } from "../part/solid/faces";
import { shortName } from "../part/solid/names";
import { markOf, middleOfNeighbour } from "../part/solid/overlay";
import { SolidPanel } from "../part/solid/panel";
import { SaveSolid } from "../part/solid/savesolid";
import { type Shown, SolidView } from "../part/solid/solidview";
import { ViewSwitch } from "../part/viewswitch";

interface View3dProps {
	job: string;
	id: string;
	of?: string;
}

const LISTED = 8; // gaps beside the picture; the rest has more room than these

// <View3d job={…} id="t1"> draws what the plan holds in three dimensions: the face, the tubes, what is around,
// gaps with their figures. A list says the same in words; a tap there or on the picture marks a thing and
// shows its figures.
// Props: job, id (a tube that is marked at the start, "" for none), of ("fixture" for what holds the header too).
// Calls: nothing.
export function View3d({ job, id, of = "" }: View3dProps) {
	return of === "fixture" ? <Held job={job} id={id} /> : <Look job={job} id={id} fixture={null} />;
}

function Held({ job, id }: { job: string; id: string }) {
	const worked = useLong<FixturePlan>("fixture", job);
	return (
		<Look job={job} id={id} fixture={worked.answer}>
			<LongRun kind="fixture" job={job} worked={worked} />
		</Look>
	);
}

interface LookProps {
	job: string;
	id: string;
	fixture: FixturePlan | null;
	children?: preact.ComponentChildren;
}

function Look({ job, id, fixture, children }: LookProps) {
	const v = view.value?.job === job ? view.value : null;
	const plan: Plan = v?.plan ?? {};
	const [marked, setMarked] = useState(id === "" ? "" : `tube/${id}`);
	const [hidden, setHidden] = useState<ReadonlySet<Shown>>(new Set());
	// biome-ignore lint/correctness/useExhaustiveDependencies: faces are of the records that the plan was worked out from
	const items = useMemo(
		() => [...itemsOf(plan, facesOf(job)), ...(fixture ? fixtureItems(fixture) : [])],
		[job, v?.hash, v === null, fixture],
	);
	const tags = useMemo(() => (fixture ? tagsOf(fixture) : []), [fixture]);
	const gaps = worstFirst(plan);
	const layers = LAYERS.filter((l) => (l === "gaps" ? gaps.length > 0 : items.some((i) => i.layer === l)));
	const main = useRef<HTMLDivElement>(null);
	const mark = (of: string) => {
		setMarked(of === marked ? "" : of);
		main.current?.querySelector(".solid-sheet")?.scrollIntoView({ block: "nearest" });
	};
	const toggle = (l: Shown) => {
		const now = new Set(hidden);
		if (!now.delete(l)) now.add(l);
		setHidden(now);
	};
	return (
		<Page title={solid.title} back={backOf(job, id, children !== undefined)} extra={<ViewSwitch />}>
			<div class="solid">
				<div class="solid-main stack" ref={main}>
					<SolidView
						plan={plan}
						items={items}
						hidden={hidden}
						marked={marked}
						place={placeOf(plan, marked, fixture)}
						tags={tags}
						numberOf={(tube) => String(numberOf(job, "tube", tube) || tube)}
						nameOf={(near) => shortName(job, near)}
						onMark={setMarked}
					/>
					<SolidPanel job={job} plan={plan} marked={marked} fixture={fixture} />
				</div>
				<div class="stack">
					{children}
					{layers.length > 1 && (
						<fieldset class="solid-layers">
							<legend class="soft small">{solid.layersTitle}</legend>
							{layers.map((l) => (
								<button
									key={l}
									type="button"
									class={hidden.has(l) ? "" : "picked"}
									aria-pressed={!hidden.has(l)}
									data-test={`solid-layer:${l}`}
									onClick={() => toggle(l)}
								>
									{solid.layers[l]}
								</button>
							))}
						</fieldset>
					)}
					{fixture && <Stations fixture={fixture} marked={marked} onTap={mark} />}
					<section class="card solid-list">
						<h2>{solid.tubes}</h2>
						{(plan.tubes ?? []).length === 0 && <p class="soft">{solid.noTubes}</p>}
						<ul>
							{(plan.tubes ?? []).map((t) => (
								<Row key={t.id} of={`tube/${t.id}`} marked={marked} onTap={mark}>
									<strong class="grow">{titleOf(job, "tube", t.id)}</strong>
									{!t.path && <span class="soft small">{solid.noPlace}</span>}
									<span class="num">
										{typeof t.length === "number" ? length(t.length, units.value) : tubes.noLength}
									</span>
								</Row>
							))}
						</ul>
					</section>
					<section class="card solid-list">
						<h2>{solid.gaps}</h2>
						{gaps.length === 0 && <p class="soft">{solid.noGaps}</p>}
						<ul>
							{gaps.slice(0, LISTED).map((g) => (
								<Row key={gapKey(g)} of={gapKey(g)} marked={marked} onTap={mark}>
									<Mark kind={markOf(g)} />
									<span class="grow">
										{solid.between(shortName(job, g.a), shortName(job, g.b))}
										<Spare gap={g} />
									</span>
									<strong class="num">{length(g.gap, units.value)}</strong>
								</Row>
							))}
						</ul>
						{gaps.length > LISTED && <p class="soft small">{solid.moreGaps(gaps.length - LISTED)}</p>}
					</section>
					<SaveSolid items={items} name={noteText(job, "job/self/name")} />
				</div>
			</div>
		</Page>
	);
}

const LAYERS: Shown[] = ["planned", "measured", "doubt", "around", "fixture", "gaps"];

function backOf(job: string, tube: string, isHeld: boolean): Route {
	if (isHeld) return { screen: "fixture", job, id: "stations" };
	return tube === "" ? { screen: "result", job } : { screen: "tube", job, id: tube };
}

// What holds the header, and the way out, in words.
function Stations({
	fixture,
	marked,
	onTap,
}: {
	fixture: FixturePlan;
	marked: string;
	onTap: (of: string) => void;
}) {
	const way = fixture.release.header;
	return (
		<section class="card solid-list" data-test="solid-stations">
			<h2>{solid.stations}</h2>
			<ul>
				{way?.free && (
					<Row of="fixture/out" marked={marked} onTap={onTap}>
						<span class="grow">{solid.wayOut}</span>
						<strong>{way.name}</strong>
					</Row>
				)}
				{fixture.stations.map((s) => (
					<Row key={s.id} of={`station/${s.id}`} marked={marked} onTap={onTap}>
						<strong class="grow">{s.name}</strong>
						<HoldMark removable={s.removable} words={s.removable ? solid.comesOff : solid.staysFixed} />
					</Row>
				))}
			</ul>
		</section>
	);
}

function Spare({ gap }: { gap: PlanGap }) {
	if (typeof gap.wanted !== "number") return null;
	const by = spare(gap);
	const words = by < 0 ? solid.short : solid.enough;
	return <span class="soft small solid-spare">{words(length(Math.abs(by), units.value))}</span>;
}

interface RowProps {
	of: string;
	marked: string;
	onTap: (of: string) => void;
	children: preact.ComponentChildren;
}

function Row({ of, marked, onTap, children }: RowProps) {
	return (
		<li>
			<button
				type="button"
				class={`solid-row ${of === marked ? "picked" : ""}`}
				aria-pressed={of === marked}
				data-test={`solid-row:${of}`}
				onClick={() => onTap(of)}
			>
				{children}
			</button>
		</li>
	);
}

// placeOf is where the thing that is marked lies, so that zooming keeps it in the picture.
function placeOf(plan: Plan, marked: string, fixture: FixturePlan | null): Point | null {
	const [kind, id] = marked.split("/");
	if (kind === "station") return fixture?.stations.find((s) => s.id === id)?.at ?? null;
	if (kind === "tube") return namePlaces(plan.tubes?.find((t) => t.id === id)?.path ?? [])[0] ?? null;
	if (kind === "neighbour")
		return middleOfNeighbour(plan.neighbours?.find((n) => n.id === id)?.shapes?.[0], [0, 0, 0]);
	if (kind === "point") return plan.points?.find((p) => p.id === id)?.at ?? null;
	if (kind === "gap") return plan.gaps?.find((g) => gapKey(g) === marked)?.at_a ?? null;
	return null;
}

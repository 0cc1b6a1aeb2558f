import { length } from "../lib/say";
import { units } from "../lib/state";
import { fixture } from "../lib/textfixture";
import type { EarthPath, FixturePlan, WayOut } from "../lib/typesfixture";
import { HoldMark } from "../part/holdmark";
import { nameOf } from "../part/known";
import { Mark } from "../part/mark";
import type { FixturePartProps } from "./fixture";

const t = fixture.out;

// <FixtureOut job={…} plan={…}> says whether header and mock-up come out of the fixture, in which direction and what
// has to come off first; and how the earth clamp reaches what is tacked.
// Props: job, plan.  Calls: nothing.
export function FixtureOut({ job, plan }: FixturePartProps) {
	if (!plan) return null;
	return (
		<>
			<WayCard part="header" plan={plan} way={plan.release.header} />
			<WayCard part="mock_up" plan={plan} way={plan.release.mock_up} />
			<Earth job={job} earth={plan.earth} plan={plan} />
		</>
	);
}

interface WayCardProps {
	part: "header" | "mock_up";
	plan: FixturePlan;
	way: WayOut | null;
}

function WayCard({ part, plan, way }: WayCardProps) {
	const u = units.value;
	const nameOfStation = (id: string) => plan.stations.find((s) => s.id === id)?.name ?? id;
	const names = way?.remove.map(nameOfStation) ?? [];
	return (
		<section class="card stack" data-test={`release:${part}`} data-remove={way?.remove.length}>
			<h2>{t.title[part]}</h2>
			{!way && <p class="soft">{part === "mock_up" && plan.mock_up_od === null ? t.noMockUp : t.none}</p>}
			{way && (
				<>
					<p class="row big-figure">
						<Mark kind={way.free ? "agreed" : "stop"} />
						<strong data-test={`way:${part}`}>{way.free ? way.name : t.stuck}</strong>
					</p>
					{way.fixed.length > 0 && <p>{t.fixed(way.fixed.map(nameOfStation).join(", "))}</p>}
				</>
			)}
			{way?.free && (
				<>
					{names.length === 0 ? (
						<p>{t.nothing}</p>
					) : (
						<div class="row wrap">
							<span>{t.first(names.length)}:</span>
							{names.map((n) => (
								<HoldMark key={n} removable words={n} />
							))}
						</div>
					)}
					<h3>{t.steps}</h3>
					<ol class="changes">
						{names.length > 0 && <li>{t.takeOff(names.join(", "))}</li>}
						{way.steps.map((s, i) => (
							<li key={i}>{t.step(s.name, length(s.travel, u))}</li>
						))}
					</ol>
					<p class="soft small">
						{t.tried(way.tried)} {t.shown}
					</p>
				</>
			)}
		</section>
	);
}

function Earth({ job, earth, plan }: { job: string; earth: EarthPath | null; plan: FixturePlan }) {
	const e = fixture.earth;
	const say = (id: string) =>
		id === PLATE ? e.plate : (plan.stations.find((s) => s.id === id)?.name ?? nameOf(job, id));
	return (
		<section class="card stack" data-test="earth">
			<h2>{e.title}</h2>
			<p class="soft">{e.why}</p>
			{(!earth || earth.order.length === 0) && <p>{e.none}</p>}
			{earth && earth.order.length > 0 && (
				<>
					<p class="row">
						<Mark kind={earth.order.every((o) => o.reached) ? "agreed" : "warn"} />
						<strong>{e.clamp(say(earth.clamp))}</strong>
					</p>
					<ol class="changes">
						{runsOf(earth).map((run) => (
							<li key={run.from.joint} data-test={`earth:${run.from.joint}`} data-reached={run.from.reached}>
								<span class="row">
									<Mark kind={run.from.reached ? "agreed" : "warn"} />
									<span>
										{e.run(run.from.name, run.to.name, run.n)}: {run.from.reached ? e.reached : e.notReached}
										{run.from.clamp !== run.before && `, ${e.moveTo(say(run.from.clamp))}`}
									</span>
								</span>
							</li>
						))}
					</ol>
					{earth.single.length > 0 && (
						<>
							<h3>{e.single}</h3>
							<ul class="changes">
								{earth.single.map((one) => (
									<li key={one}>{one}</li>
								))}
							</ul>
							<p class="soft small">{e.singleWhy}</p>
						</>
					)}
				</>
			)}
		</section>
	);
}

const PLATE = "plate";

interface Run {
	from: Tack;
	to: Tack;
	n: number;
	before: string; // where the clamp sat until then
}

type Tack = EarthPath["order"][number];

// The tube of a joint; posts go together.
const ownerOf = (o: Tack) => (o.joint.includes("/") ? o.joint.split("/")[0] : "");

// Tacks of a tube that go alike one after the other are said once.
function runsOf(earth: EarthPath): Run[] {
	const runs: Run[] = [];
	let before = earth.clamp;
	for (const o of earth.order) {
		const last = runs.at(-1);
		if (
			last &&
			o.reached &&
			last.from.reached &&
			last.to.clamp === o.clamp &&
			ownerOf(last.to) === ownerOf(o)
		) {
			last.to = o;
			last.n++;
		} else runs.push({ from: o, to: o, n: 1, before });
		before = o.clamp;
	}
	return runs;
}

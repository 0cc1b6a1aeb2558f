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
	const say = (id: string) => plan.stations.find((s) => s.id === id)?.name ?? nameOf(job, id);
	return (
		<section class="card stack" data-test="earth">
			<h2>{e.title}</h2>
			<p class="soft">{e.why}</p>
			{(!earth || earth.order.length === 0) && <p>{e.none}</p>}
			{earth && earth.order.length > 0 && (
				<>
					<p class="row">
						<Mark kind={earth.unreached.length > 0 ? "warn" : "agreed"} />
						<strong>{e.clamp(say(earth.clamp))}</strong>
					</p>
					<ol class="changes">
						{earth.order.map((o) => (
							<li key={o.joint} data-test={`earth:${o.joint}`} data-reached={o.reached}>
								<span class="row">
									<Mark kind={o.reached ? "agreed" : "warn"} />
									<span>
										{o.name || say(o.joint)}: {o.reached ? e.reached : e.notReached}
										{!o.reached && o.clamp !== "" && `, ${e.moveTo(say(o.clamp))}`}
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

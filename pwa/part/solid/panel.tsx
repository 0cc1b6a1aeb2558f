import { length } from "../../lib/say";
import { gapKey, spare } from "../../lib/solid/gaps";
import { sigmaOf } from "../../lib/solid/model";
import { units } from "../../lib/state";
import { solid } from "../../lib/textsolid";
import type { PlanGap } from "../../lib/typesaround";
import type { FixturePlan } from "../../lib/typesfixture";
import type { Plan } from "../../lib/typesplan";
import { HoldMark } from "../holdmark";
import { titleOf } from "../known";
import { LengthLine } from "../lengthline";
import { Mark } from "../mark";
import { Resting } from "../resting";
import { shortName } from "./names";
import { leastGap, markOf } from "./overlay";

interface SolidPanelProps {
	job: string;
	plan: Plan;
	marked: string;
	fixture?: FixturePlan | null;
}

// <SolidPanel job={…} plan={…} marked="tube/t1"> says what the marked thing is and its figures.
// Props: job, plan, marked ("" for nothing: what a finger can do), fixture (where it is drawn).  Calls: nothing.
export function SolidPanel(p: SolidPanelProps) {
	return (
		<section class="card stack solid-panel" aria-live="polite" data-test="solid-panel" data-of={p.marked}>
			<Content {...p} />
		</section>
	);
}

function Content({ job, plan, marked, fixture }: SolidPanelProps) {
	const [kind, id = ""] = marked.split("/");
	const u = units.value;
	switch (kind) {
		case "tube": {
			const t = plan.tubes?.find((t) => t.id === id);
			if (!t) break;
			const sigma = sigmaOf(t);
			return (
				<>
					<h2>
						{titleOf(job, "tube", id)}
						{t.od && t.wall ? (
							<span class="soft small solid-beside">{solid.section(length(t.od, u), length(t.wall, u))}</span>
						) : null}
					</h2>
					<LengthLine id={id} plan={t} />
					<Resting job={job} slots={t.disputed} />
					<Least job={job} plan={plan} of={id} />
					{sigma !== null && <p class="small">{solid.sleeve(length(2 * sigma, u))}</p>}
				</>
			);
		}
		case "gap": {
			const g = plan.gaps?.find((g) => gapKey(g) === marked);
			return g ? <Gap job={job} gap={g} /> : null;
		}
		case "neighbour": {
			const n = plan.neighbours?.find((n) => n.id === id);
			if (!n) break;
			return (
				<>
					<h2>
						{shortName(job, id)}
						{n.what && <span class="soft small solid-beside">{n.what}</span>}
					</h2>
					<Least job={job} plan={plan} of={id} />
				</>
			);
		}
		case "collector": {
			const c = plan.collectors?.find((c) => c.id === id);
			if (!c) break;
			return (
				<>
					<h2>{shortName(job, id)}</h2>
					<p>
						{solid.socket} {length(c.socket_id, u)}, {solid.outlet} {length(c.outlet_od, u)}
					</p>
				</>
			);
		}
		case "station": {
			const s = fixture?.stations.find((o) => o.id === id);
			if (!s) break;
			return (
				<>
					<h2>{solid.station(s.name)}</h2>
					<p>{solid.stationFacts(length(s.along, u), length(s.post, u))}</p>
					<HoldMark removable={s.removable} words={s.removable ? solid.comesOff : solid.staysFixed} />
				</>
			);
		}
		case "fixture": {
			const way = fixture?.release.header;
			if (!fixture?.base) break;
			return id === "out" ? (
				<>
					<h2>{solid.wayOut}</h2>
					<p>{way?.name}</p>
				</>
			) : (
				<h2>{solid.baseFacts(length(fixture.base.thickness, u))}</h2>
			);
		}
		case "point": {
			const q = plan.points?.find((q) => q.id === id);
			if (!q) break;
			return (
				<>
					<h2>{shortName(job, id)}</h2>
					{q.sigma?.[0] !== undefined && <p>{solid.within(length(2 * q.sigma[0], u))}</p>}
				</>
			);
		}
		case "bank":
			return (
				<>
					<h2>{titleOf(job, "bank", id)}</h2>
					<p>{solid.plate}</p>
				</>
			);
	}
	return <p class="soft">{solid.hint}</p>;
}

interface GapProps {
	job: string;
	gap: PlanGap;
}

function Gap({ job, gap }: GapProps) {
	const u = units.value;
	const by = spare(gap);
	const facts = [
		typeof gap.least === "number" && gap.least > 0 ? solid.least(length(gap.least, u)) : "",
		gap.worst_case ? `${solid.worstAt}: ${gap.worst_case}` : "",
		gap.grade ? solid.grade(gap.grade) : "",
	].filter((s) => s !== "");
	return (
		<>
			<h2>{solid.between(shortName(job, gap.a), shortName(job, gap.b))}</h2>
			<p class="row wrap">
				<Mark kind={markOf(gap)} />
				<strong class="solid-big">{length(gap.gap, u)}</strong>
				{typeof gap.wanted === "number" && (
					<span>
						{solid.wanted} {length(gap.wanted, u)}
						{", "}
						<strong>{(by < 0 ? solid.short : solid.enough)(length(Math.abs(by), u))}</strong>
					</span>
				)}
			</p>
			<Resting job={job} slots={gap.disputed} />
			{gap.too_close_to_call && <p>{solid.tooClose}</p>}
			{facts.length > 0 && <p class="soft small">{facts.join("; ")}</p>}
		</>
	);
}

function Least({ job, plan, of }: { job: string; plan: Plan; of: string }) {
	const g = leastGap(plan, of);
	if (!g) return null;
	const other = g.a === of ? g.b : g.a;
	return (
		<p class="row">
			<Mark kind={markOf(g)} />
			<span>
				{solid.worstGap}: <strong>{length(g.gap, units.value)}</strong>,{" "}
				{solid.between(shortName(job, of), shortName(job, other))}
			</span>
		</p>
	);
}

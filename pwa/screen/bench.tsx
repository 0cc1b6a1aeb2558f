import { degrees, length, offset } from "../lib/say";
import { go, type PlanTube, stageOf, units, view } from "../lib/state";
import { bench } from "../lib/textbench";
import { cuts } from "../lib/textstock";
import { result } from "../lib/texttube";
import type { PlanPiece } from "../lib/typesplan";
import { Caution } from "../part/caution";
import { cutsLook } from "../part/cutslook";
import { Figures } from "../part/figures";
import { titleOf } from "../part/known";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { PieceStage } from "../part/piecestage";
import { Resting } from "../part/resting";
import { ViewSwitch } from "../part/viewswitch";

// <Bench job={…}> is the work at the bench: every piece of every tube with what was planned, what came out and how
// far it is, and where each tube ends as made. A tap on a piece opens it.
// Props: job.  Calls: go.
export function Bench({ job }: { job: string }) {
	const v = view.value?.job === job ? view.value : null;
	const look = cutsLook(job);
	const tubes = (v?.plan.tubes ?? []).filter((t) => (t.pieces ?? []).length > 0);
	return (
		<Page title={bench.title} back={{ screen: "job", job }} extra={<ViewSwitch />}>
			<div class={v?.stale ? "stale" : ""}>
				<div class="stack">
					<p class="soft">{v && tubes.length === 0 ? bench.none : bench.why}</p>
					{v && tubes.length === 0 ? (
						<button
							type="button"
							class="primary"
							data-test="to-layout"
							onClick={() => go({ screen: "tubes", job })}
						>
							{bench.toLayout} ▸
						</button>
					) : (
						<button
							type="button"
							class="card step"
							data-test="to-cuts"
							onClick={() => go({ screen: "cuts", job })}
						>
							<strong class="grow">{cuts.title}</strong>
							<span class="soft">{look ? look.words : cuts.hint}</span>
							<span class="act">▸</span>
						</button>
					)}
					{tubes.map((t) => (
						<BenchTube key={t.id} job={job} tube={t} />
					))}
					<Caution>
						<p>{bench.caution}</p>
					</Caution>
				</div>
			</div>
		</Page>
	);
}

function BenchTube({ job, tube }: { job: string; tube: PlanTube }) {
	const h = bench.head;
	return (
		<section class="card stack" data-test={`bench:${tube.id}`}>
			<h2>{titleOf(job, "tube", tube.id)}</h2>
			<AsMade job={job} tube={tube} />
			<Resting job={job} slots={tube.disputed} />
			<Figures title="" head={[h.piece, h.planned, h.made, h.off, h.stage]}>
				{(tube.pieces ?? []).map((p) => (
					<tr key={p.id} data-test={`piece:${p.id}`}>
						<th scope="row">
							<button
								type="button"
								class="plain piece-way"
								data-test={`to-piece:${p.id}`}
								onClick={() => go({ screen: "piece", job, id: p.id })}
							>
								<strong>{p.name}</strong>
								<span>{p.kind === "bend" ? result.bend : result.straight} ▸</span>
							</button>
						</th>
						<td class="num">{planned(p)}</td>
						<td class="num">{made(p)}</td>
						<td class="num">{off(p)}</td>
						<td class="num">
							<PieceStage stage={stageOf(job, p.element)} />
						</td>
					</tr>
				))}
			</Figures>
			<button
				type="button"
				data-test={`fill:${tube.id}`}
				onClick={() => go({ screen: "filling", job, id: tube.id })}
			>
				{bench.fill} ▸
			</button>
		</section>
	);
}

// <AsMade job={…} tube={…}> says where a tube ends with its pieces as made, and leads to what would close it.
// Props: job, tube (of the plan).  Calls: go.
export function AsMade({ job, tube }: { job: string; tube: PlanTube }) {
	const m = tube.made;
	const u = units.value;
	if (!m) return null;
	return (
		<div
			class="row"
			data-test={`made:${tube.id}`}
			data-closes={m.closes}
			data-miss={m.miss}
			data-aim={m.aim_off}
		>
			<Mark kind={m.closes ? "agreed" : "warn"} />
			<span class="grow">
				{m.closes
					? m.to === "socket"
						? bench.closes
						: bench.closesPlan
					: bench.ends(length(m.miss, u), degrees(m.aim_off))}
				<span class="soft small"> {bench.longer(offset(m.longer, u))}</span>
			</span>
			<button
				type="button"
				class={m.closes ? "" : "primary"}
				data-test={`correct:${tube.id}`}
				onClick={() => go({ screen: "correction", job, id: tube.id })}
			>
				{m.closes ? bench.inTheWay : bench.correct} ▸
			</button>
		</div>
	);
}

const planned = (p: PlanPiece) => (p.kind === "bend" ? degrees(p.angle) : length(p.length, units.value));

const made = (p: PlanPiece) => {
	const c = p.as_cut;
	if (p.kind === "straight") return typeof c?.length === "number" ? length(c.length, units.value) : "";
	return typeof c?.angle === "number" ? degrees(c.angle) : "";
};

const off = (p: PlanPiece) => {
	const c = p.as_cut;
	if (p.kind === "straight")
		return typeof c?.length_off === "number" ? offset(c.length_off, units.value) : "";
	return typeof c?.angle_off === "number" ? turned(c.angle_off) : "";
};

const turned = (a: number) => `${a > 0 ? "+" : ""}${degrees(a)}`;

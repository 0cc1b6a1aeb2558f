import { asksFor } from "../lib/fields";
import { may } from "../lib/pairing";
import { degrees, length, moment, offset } from "../lib/say";
import { addEntity, go, keepStage, listOf, type PlanTube, stageOf, units, view } from "../lib/state";
import { bench } from "../lib/textbench";
import { result } from "../lib/texttube";
import type { PlanPiece } from "../lib/typesplan";
import { BenchOnly } from "../part/benchonly";
import { Caution } from "../part/caution";
import { Choices } from "../part/choices";
import { Entity } from "../part/entity";
import { FieldCell } from "../part/fieldcell";
import { FindingsOf, findingsOf } from "../part/findingsof";
import { titleOf, word } from "../part/known";
import { Mark } from "../part/mark";
import { Misses } from "../part/misses";
import { now } from "../part/now";
import { Page } from "../part/page";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";
import { PieceStage, pieceStages } from "../part/piecestage";
import { Removed } from "../part/removed";
import { Resting } from "../part/resting";
import { offerUndo } from "../part/undo";
import { ViewSwitch } from "../part/viewswitch";
import { AsMade } from "./bench";

const OFF = "off-plan"; // the rule of what came out farther off than good work does

interface PieceProps {
	job: string;
	id: string;
}

// <Piece job={…} id="t1-2"> is one piece at the bench: what was planned, how far it is, what came out, and the free
// end that was measured behind it. Codes on labels lead here.
// Props: job, id (of the piece, as the plan has it).  Calls: go, keepStage, addEntity.
export function Piece({ job, id }: PieceProps) {
	const v = view.value?.job === job ? view.value : null;
	const tube = v?.plan.tubes?.find((t) => t.pieces?.some((p) => p.id === id));
	const piece = tube?.pieces?.find((p) => p.id === id);
	const back = { screen: "bench", job };
	if (!v || !tube || !piece) {
		return (
			<Page title={id} back={back}>
				<p class="card soft">{v ? bench.gone : ""}</p>
			</Page>
		);
	}
	const name = bench.piece(piece.name);
	const found = findingsOf(job, "element", piece.element);
	const isOff = found.some((f) => f.rule === OFF); // said among what came out
	const others = found.filter((f) => f.rule !== OFF);
	const clr = piece.as_cut?.clr ?? piece.clr;
	return (
		<Page title={name} back={back} extra={<ViewSwitch />}>
			<div class={v.stale ? "stale" : ""}>
				<div class="split">
					<div class="stack">
						<Planned job={job} tube={tube} piece={piece} />
						<Stage job={job} piece={piece} name={name} />
					</div>
					<div class="stack">
						<section class="card stack" data-test="as-made">
							<div class="row">
								<h2 class="grow">{bench.asCut}</h2>
								<PhotoButton job={job} slot={`element/${piece.element}/photo`} what={name} />
							</div>
							<p class="soft">{bench.asCutWhy}</p>
							<div class="cells">
								{asksFor("element", piece.element, (s) => word(job, s), "made").map((ask) => (
									<FieldCell key={ask.slot} job={job} ask={ask} />
								))}
							</div>
							<Offs piece={piece} isOff={isOff} />
							<AsMade job={job} tube={tube} />
							<Photos job={job} slot={`element/${piece.element}/photo`} />
						</section>
						{others.length > 0 && <FindingsOf job={job} list={others} />}
						{piece.kind === "bend" && typeof tube.od === "number" && typeof clr === "number" && (
							<Misses od={tube.od} clr={clr} />
						)}
						<FreeEnds job={job} tube={tube} piece={piece} />
						<Caution>
							<p>{bench.caution}</p>
						</Caution>
					</div>
				</div>
			</div>
		</Page>
	);
}

// How far the piece is. What was tapped by mistake goes back to a drawing.
function Stage({ job, piece, name }: { job: string; piece: PlanPiece; name: string }) {
	const stage = stageOf(job, piece.element);
	const options = [
		{ value: "", label: bench.notYet },
		...pieceStages.map((s) => ({ value: s, label: bench.stages[s] ?? s })),
	];
	return (
		<section class="card stack" data-test="stage-card">
			<h2>{bench.stage}</h2>
			{may("piece") ? (
				<Choices
					label={bench.stage}
					options={options}
					value={stage}
					test="piece-stage"
					onPick={(s) =>
						keepStage(job, piece.element, s).then(
							(undo) => offerUndo(bench.set(name, s), undo),
							() => {},
						)
					}
				/>
			) : (
				<>
					<p>
						<PieceStage stage={stage} />
					</p>
					<BenchOnly kind="piece" />
				</>
			)}
			{piece.stage_by && (
				<p class="soft small">{bench.said(piece.stage_by, moment(piece.stage_at ?? "", now.value))}</p>
			)}
		</section>
	);
}

function Planned({ job, tube, piece: p }: { job: string; tube: PlanTube; piece: PlanPiece }) {
	const u = units.value;
	const pieces = tube.pieces ?? [];
	const at = pieces.indexOf(p);
	const before = pieces[at - 1]?.name ?? bench.flange;
	const after = pieces[at + 1]?.name ?? bench.end;
	const rows: [string, string][] =
		p.kind === "bend"
			? [
					[bench.angle, degrees(p.angle)],
					[bench.clr, length(p.clr, u)],
					[bench.outside, length(p.outside, u)],
					[bench.inside, length(p.inside, u)],
					[bench.clock, degrees(p.rotation)],
					[result.cutHead.clock, offset(p.clock_arc, u)],
					[bench.wallLeft, length(p.wall_left, u)],
				]
			: [[bench.length, length(p.length, u)]];
	return (
		<section class="card stack" data-test="planned">
			<h2>{bench.planned}</h2>
			<p class="soft">
				{[
					titleOf(job, "tube", tube.id),
					p.kind === "bend" ? result.bend : result.straight,
					bench.between(before, after),
				].join(", ")}
			</p>
			<Resting job={job} slots={tube.disputed} />
			<dl class="piece-figures">
				{rows.map(([what, figure]) => (
					<div key={what}>
						<dt>{what}</dt>
						<dd>{figure}</dd>
					</div>
				))}
			</dl>
			{p.kind === "bend" && (
				<>
					<p class="soft small">{result.clockHint}</p>
					<p class="soft small">{bench.wallRule(length(tube.wall, u))}</p>
				</>
			)}
		</section>
	);
}

// What came out less what was planned, of all that was measured; isOff says that it is more than good work differs by.
function Offs({ piece: p, isOff }: { piece: PlanPiece; isOff: boolean }) {
	const u = units.value;
	const said = [
		of(bench.angle, p.as_cut?.angle_off, (v) => signed(v)),
		of(bench.clr, p.as_cut?.clr_off, (v) => offset(v, u)),
		p.kind === "straight" ? of(bench.length, p.as_cut?.length_off, (v) => offset(v, u)) : "",
		of(bench.clock, p.clock_off, (v) => `${signed(v)} = ${offset(p.clock_arc_off, u)}`),
	].filter((s) => s !== "");
	if (said.length === 0) return null;
	return (
		<p class="row" data-test="offs">
			<Mark kind={isOff ? "warn" : "note"} />
			<span>{bench.offs(said.join(", "))}</span>
		</p>
	);
}

const of = (what: string, v: number | null | undefined, say: (v: number) => string) =>
	typeof v === "number" ? `${what} ${say(v)}` : "";

const signed = (a: number) => `${a > 0 ? "+" : ""}${degrees(a)}`;

function FreeEnds({ job, tube, piece }: { job: string; tube: PlanTube; piece: PlanPiece }) {
	const ends = listOf(job, "tack", tube.id).filter(
		(e) => word(job, `tack/${e.id}/element`) === piece.element,
	);
	const free = tube.made?.free_end;
	const add = async () => {
		const added = await addEntity(job, "tack", tube.id, { element: piece.element }).catch(() => "");
		if (added !== "") go({ screen: "measure", job, slot: `tack/${added}/x` });
	};
	return (
		<section class="card stack" data-test="free-ends">
			<h2>{bench.freeEnds}</h2>
			<p class="soft">{bench.freeEndsWhy}</p>
			{free && ends.some((e) => e.id === free.tack) && (
				<p class="row">
					<Mark kind="note" />
					{bench.freeOff(length(free.off, units.value))}
				</p>
			)}
			<ol class="stack">
				{ends.map((e) => (
					<Entity key={e.id} job={job} kind="tack" id={e.id} leave={["element"]} />
				))}
			</ol>
			<Removed job={job} kind="tack" parent={tube.id} />
			<button type="button" data-test="add-free" onClick={add}>
				{bench.addFree}
			</button>
		</section>
	);
}

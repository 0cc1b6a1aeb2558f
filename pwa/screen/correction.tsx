import { useState } from "preact/hooks";
import { may } from "../lib/pairing";
import { keepAnew } from "../lib/replaced";
import { degrees, length, notSaved, offset, plain } from "../lib/say";
import { listOf, noteText, type PlanTube, units, view } from "../lib/state";
import { anewOf, takenFields } from "../lib/taken";
import { bench } from "../lib/textbench";
import { correction as text } from "../lib/textcorrection";
import { result } from "../lib/texttube";
import type { Change, Correction as Corrected, CorrectionAnswer } from "../lib/typescorrection";
import type { PlanPiece } from "../lib/typesplan";
import { BenchOnly } from "../part/benchonly";
import { Caution } from "../part/caution";
import { titleOf, word } from "../part/known";
import { LongRun, useLong } from "../part/longrun";
import { Mark } from "../part/mark";
import { Outcome } from "../part/outcome";
import { Page } from "../part/page";
import { offerUndo } from "../part/undo";
import { ViewSwitch } from "../part/viewswitch";

interface CorrectionProps {
	job: string;
	id: string;
}

// <Correction job={…} id="t2"> is what brings a tube back to its end: the least to do first, each answer with what it
// comes to and how sure that is, to print and to put into the plan.
// Props: job, id (of the tube).  Calls: keepAnew.
export function Correction({ job, id }: CorrectionProps) {
	const worked = useLong<Corrected[]>("corrections", job);
	const v = view.value?.job === job ? view.value : null;
	const tube = v?.plan.tubes?.find((t) => t.id === id);
	const found = worked.answer?.find((c) => c.tube === id);
	const title = titleOf(job, "tube", id);
	return (
		<Page title={text.title(title)} back={{ screen: "bench", job }} extra={<ViewSwitch />}>
			<div class="stack">
				<p class="soft no-print">{text.why}</p>
				<LongRun kind="corrections" job={job} worked={worked} />
				{tube && worked.answer && !found && worked.state === "done" && (
					<p class="card row" data-test="no-correction">
						<Mark kind="agreed" />
						{tube.made ? text.closes : text.nothing}
					</p>
				)}
				{tube && found && (
					<div
						class={worked.isStale ? "stale stack" : "stack"}
						data-test="correction"
						data-closes={found.closes}
					>
						<Answers job={job} tube={tube} found={found} title={title} isStale={worked.isStale} />
					</div>
				)}
				<Caution>
					<p>{bench.caution}</p>
				</Caution>
			</div>
		</Page>
	);
}

interface AnswersProps {
	job: string;
	tube: PlanTube;
	found: Corrected;
	title: string;
	isStale: boolean;
}

function Answers({ job, tube, found, title, isStale }: AnswersProps) {
	const u = units.value;
	const pieces = tube.pieces ?? [];
	const name = noteText(job, "job/self/name");
	return (
		<>
			<section class="card stack print">
				<h2 class="only-print">{[name, title, text.printed].filter((s) => s !== "").join(", ")}</h2>
				<p class="row">
					<Mark kind="warn" />
					{found.touches === ""
						? text.asIs(length(found.as_is.miss, u), degrees(found.as_is.aim))
						: text.touches(found.touches)}
				</p>
				{found.around && <p class="soft">{text.around}</p>}
				{found.changes.length > 0 && (
					<AnswerCard
						job={job}
						pieces={pieces}
						answer={found}
						heading={found.closes ? text.answer(1) : text.nearest}
						isStale={isStale}
					/>
				)}
				{!found.complete && <p class="soft">{text.incomplete}</p>}
				<p class="soft small">{text.signs}</p>
				{view.value && <p class="soft small only-print">{result.hash(view.value.hash)}</p>}
				<button type="button" class="no-print" data-test="print" onClick={() => print()}>
					{text.print}
				</button>
			</section>
			{found.others.map((a, i) => (
				<section class="card stack" key={i}>
					<AnswerCard job={job} pieces={pieces} answer={a} heading={text.answer(i + 2)} isStale={isStale} />
				</section>
			))}
			<Needs pieces={pieces} found={found} />
		</>
	);
}

interface AnswerCardProps {
	job: string;
	pieces: PlanPiece[];
	answer: CorrectionAnswer;
	heading: string;
	isStale: boolean;
}

function AnswerCard({ job, pieces, answer: a, heading, isStale }: AnswerCardProps) {
	const [fault, setFault] = useState("");
	const fields = takenFields(a.changes, pieces, (p) => elementsOf(job, pieces, p));
	const anew = anewOf(a.changes, pieces);
	const mayTake = fields !== null && (anew.length === 0 || may("piece"));
	const take = () => {
		setFault("");
		keepAnew(
			job,
			fields ?? {},
			anew.map((p) => p.element),
		).then(
			(undo) => offerUndo(text.taken, undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	return (
		<div class="stack" data-test="answer" data-miss={a.miss} data-aim={a.aim} data-closes={a.closes}>
			<div class="row">
				<Mark kind={a.closes ? "agreed" : "warn"} />
				<h2 class="grow">{heading}</h2>
				{a.welds > 0 && <span class="soft">{text.welds(a.welds)}</span>}
			</div>
			<ol class="stack changes">
				{a.changes.map((c, i) => (
					<li key={i}>
						<ChangeSaid change={c} pieces={pieces} />
					</li>
				))}
			</ol>
			<Outcome job={job} of={a} />
			{a.closes && (
				<div class="stack no-print">
					<button
						type="button"
						class="primary"
						data-test="take-answer"
						disabled={!mayTake || isStale}
						onClick={take}
					>
						{text.take}
					</button>
					<p class="soft small">{fields === null ? text.byHand : text.takeHint}</p>
					{fields !== null && anew.length > 0 && (
						<>
							<p class="soft small">{text.anewHint(anew.map((p) => p.name).join(", "))}</p>
							<BenchOnly kind="piece" />
						</>
					)}
				</div>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</div>
	);
}

function ChangeSaid({ change: c, pieces }: { change: Change; pieces: PlanPiece[] }) {
	const u = units.value;
	const name = (id: string | undefined) => pieces.find((p) => p.id === id)?.name ?? id ?? "";
	const [before = "", after = ""] = c.between ?? [];
	const joint = text.joint(c.joint ?? 0, name(before) || text.flange, name(after) || text.socket);
	const longer = offset(-(c.trim ?? 0), u);
	switch (c.kind) {
		case "turn":
			return (
				<>
					<strong>{text.turn(joint, signedExact(c.turn), offset(c.turn_arc, u))}</strong>
					{c.bend && (
						<span class="soft"> {text.clock(name(c.bend), exact(c.clock), offset(c.clock_arc, u))}</span>
					)}
				</>
			);
		case "straight":
			return <strong>{text.cut(name(c.piece), length(c.length, u), longer)}</strong>;
		case "trim":
			return <strong>{text.trim(name(c.piece), length(c.length, u), longer)}</strong>;
		case "straight anew":
			return <strong>{text.anew(name(c.piece), length(c.length, u), longer)}</strong>;
		case "bend":
		case "recut":
		case "bend anew":
			return (
				<>
					<strong>{text[SAID[c.kind]](name(c.piece), exact(c.bent), signedExact(c.angle))}</strong>
					<span class="soft"> {text.marks(length(c.outside, u), length(c.inside, u))}</span>
				</>
			);
		case "new straight":
			return <strong>{text.newStraight(joint, length(c.length, u))}</strong>;
		case "new bend":
			return (
				<>
					<strong>{text.newBend(joint, exact(c.bent), length(c.clr, u), exact(c.clock))}</strong>
					<span class="soft"> {text.marks(length(c.outside, u), length(c.inside, u))}</span>
					{c.next && (
						<strong> {text.next(name(c.next.bend), exact(c.next.clock), offset(c.next.clock_arc, u))}</strong>
					)}
				</>
			);
	}
}

const SAID = { bend: "cut", recut: "recut", "bend anew": "anew" } as const;

// What would close where nothing does, and what closes and cannot be.
function Needs({ pieces, found }: { pieces: PlanPiece[]; found: Corrected }) {
	const u = units.value;
	const changes = (list: Change[]) => (
		<ul class="changes">
			{list.map((c, i) => (
				<li key={i}>
					<ChangeSaid change={c} pieces={pieces} />
				</li>
			))}
		</ul>
	);
	return (
		<>
			{(found.socket || found.radii.length > 0) && (
				<section class="card stack" data-test="needs">
					<h2>{text.needs}</h2>
					{found.socket && (
						<div>
							<p>
								{text.move(
									length(Math.hypot(...found.socket.by), u),
									...(found.socket.by.map((v) => offset(v, u)) as [string, string, string]),
								)}
								{found.socket.tilt > 0.05 && `, ${text.tilt(degrees(found.socket.tilt))}`}
							</p>
							{changes(found.socket.changes)}
						</div>
					)}
					{found.radii.map((r) => (
						<div key={`${r.piece} ${r.clr}`}>
							<p>{text.clr(pieces.find((p) => p.id === r.piece)?.name ?? r.piece, length(r.clr, u))}</p>
							{changes(r.changes)}
						</div>
					))}
				</section>
			)}
			{found.rejected.length > 0 && (
				<section class="card stack" data-test="rejected">
					<h2>{text.rejected}</h2>
					{found.rejected.map((r, i) => (
						<div key={i}>
							<p>{r.why}</p>
							{changes(r.changes)}
						</div>
					))}
				</section>
			)}
		</>
	);
}

// How many elements of the path a piece is made of: straights in a row are one piece.
function elementsOf(job: string, pieces: PlanPiece[], piece: PlanPiece): number {
	const path = listOf(job, "element", parentOfElement(job, piece.element)).map((e) => e.id);
	const next = pieces[pieces.indexOf(piece) + 1];
	const from = path.indexOf(piece.element);
	const to = next ? path.indexOf(next.element) : path.length;
	return path.slice(from, to).filter((id) => word(job, `element/${id}/length`) !== "0").length;
}

const parentOfElement = (job: string, id: string) =>
	listOf(job, "element").find((e) => e.id === id)?.parent ?? "";

const signedExact = (a: number | undefined) => `${(a ?? 0) > 0 ? "+" : ""}${exact(a)}`;

// As the marks are to be made: some answers close by hundredths only.
const exact = (a: number | undefined) => `${plain(a)}°`;

import { useState } from "preact/hooks";
import { fill } from "../lib/filled";
import { degrees, length, notSaved, offset, plain } from "../lib/say";
import { go, type PlanTube, units, view } from "../lib/state";
import { bench } from "../lib/textbench";
import { filling as text } from "../lib/textfilling";
import { cuts } from "../lib/textstock";
import type { CutStock } from "../lib/typescuts";
import type { Filling as Filled, FillPiece, FillPlan, Span } from "../lib/typesfilling";
import type { PlanPiece } from "../lib/typesplan";
import { BarDrawing } from "../part/bardrawing";
import { Caution } from "../part/caution";
import { Choices } from "../part/choices";
import { titleOf } from "../part/known";
import { LongRun, useLong } from "../part/longrun";
import { Mark } from "../part/mark";
import { Outcome } from "../part/outcome";
import { Page } from "../part/page";
import { pieceStages } from "../part/piecestage";
import { offerUndo } from "../part/undo";
import { ViewSwitch } from "../part/viewswitch";

interface FillingProps {
	job: string;
	id: string;
	joints: string;
}

// <Filling job={…} id="t4" joints="2-7"> is what fills a tube, or a part of it, from stock: which two joints, the ways
// there are with what they are cut from, what they come to and how sure that is, and one of them to be put into the
// plan.
// Props: job, id (of the tube), joints (from and to, "" for all that is not tacked).  Calls: go.
export function Filling({ job, id, joints }: FillingProps) {
	const v = view.value?.job === job ? view.value : null;
	const tube = v?.plan.tubes?.find((t) => t.id === id);
	const title = text.title(titleOf(job, "tube", id));
	const pieces = tube?.pieces ?? [];
	const first = firstFree(tube);
	return (
		<Page title={title} back={{ screen: "bench", job }} extra={<ViewSwitch />}>
			<div class="stack">
				<p class="soft">{text.why}</p>
				{tube &&
					(pieces.length > 0 && first >= pieces.length ? (
						<p class="card soft">{text.allTacked}</p>
					) : (
						<Spanned
							job={job}
							tube={tube}
							pieces={pieces}
							span={spanOf(id, joints, first, pieces.length)}
							first={first}
						/>
					))}
				<Caution>
					<p>{bench.caution}</p>
				</Caution>
			</div>
		</Page>
	);
}

// Behind the last piece that is tacked, or behind which a free end was measured.
function firstFree(tube: PlanTube | undefined): number {
	const pieces = tube?.pieces ?? [];
	const tacked = pieceStages.indexOf("tacked");
	const isHeld = (p: PlanPiece) =>
		typeof p.as_clocked === "number" ||
		pieceStages.indexOf(p.stage) >= tacked ||
		p.id === tube?.made?.free_end?.piece;
	return pieces.reduce((free, p, i) => (isHeld(p) ? i + 1 : free), 0);
}

function spanOf(tube: string, joints: string, first: number, last: number): Span {
	const [from, to] = joints.split("-").map(Number);
	const isKnown = from !== undefined && to !== undefined && from >= first && to > from && to <= last;
	return isKnown ? { tube, from, to } : { tube, from: first, to: last };
}

interface SpannedProps {
	job: string;
	tube: PlanTube;
	pieces: PlanPiece[];
	span: Span;
	first: number; // joint that is free
}

function Spanned({ job, tube, pieces, span, first }: SpannedProps) {
	const worked = useLong<Filled>("filling", job, { span });
	const found = worked.answer;
	const isOf =
		found &&
		found.tube === span.tube &&
		found.from === span.from &&
		(found.to === span.to || pieces.length === 0);
	const pick = (from: number, to: number) =>
		go({ screen: "filling", job, id: tube.id, slot: `${from}-${Math.max(to, from + 1)}` });
	const name = (i: number) => pieces[i]?.name ?? "";
	const at = (from: number, to: number) =>
		Array.from({ length: Math.max(0, to - from + 1) }, (_, i) => from + i);
	const last = pieces.length;
	return (
		<>
			{last > 0 && (
				<section class="card stack">
					<h2>{text.from}</h2>
					<Choices
						label={text.from}
						test="from"
						value={`${span.from}`}
						options={at(first, last - 1).map((j) => ({
							value: `${j}`,
							label: j === 0 ? text.flange : text.behind(name(j - 1)),
						}))}
						onPick={(j) => pick(Number(j), span.to)}
					/>
					<h2>{text.to}</h2>
					<Choices
						label={text.to}
						test="to"
						value={`${span.to}`}
						options={at(span.from + 1, last).map((j) => ({
							value: `${j}`,
							label: j === last ? text.end : text.before(name(j)),
						}))}
						onPick={(j) => pick(span.from, Number(j))}
					/>
				</section>
			)}
			<LongRun kind="filling" job={job} worked={worked} />
			{found && isOf && (
				<div
					class={worked.isStale ? "stale stack" : "stack"}
					data-test="filling"
					data-found={found.plans.length > 0}
				>
					<Found job={job} pieces={pieces} found={found} isStale={worked.isStale} />
				</div>
			)}
		</>
	);
}

interface FoundProps {
	job: string;
	pieces: PlanPiece[];
	found: Filled;
	isStale: boolean;
}

function Found({ job, pieces, found, isStale }: FoundProps) {
	const u = units.value;
	const gone = found.replaces.map((id) => pieces.find((p) => p.id === id)?.name ?? id).join(", ");
	return (
		<>
			<section class="card stack">
				{found.apart > 0 && <p>{text.apart(length(found.apart, u), degrees(found.aside))}</p>}
				{found.apart > 0 && <p class="soft">{text.held[found.held]}</p>}
				{gone !== "" && <p class="soft">{text.replaces(gone)}</p>}
				{found.length_open && (
					<p class="row">
						<Mark kind="warn" />
						{text.lengthOpen}
					</p>
				)}
				{found.why !== "" && (
					<p class="row" role="status" data-test="filling-none">
						<Mark kind="warn" />
						{text.none(found.why)} {typeof found.clr === "number" && text.clr(length(found.clr, u))}
					</p>
				)}
			</section>
			{found.plans.map((p, i) => (
				<Way
					key={i}
					job={job}
					span={found}
					pieces={pieces}
					gone={gone}
					plan={p}
					heading={text.way(i + 1)}
					isStale={isStale}
				/>
			))}
			{found.best && (
				<Way
					job={job}
					span={found}
					pieces={pieces}
					gone={gone}
					plan={found.best}
					heading={text.best}
					isStale={isStale}
				/>
			)}
			{found.rejected.length > 0 && (
				<section class="card stack" data-test="rejected">
					<h2>{text.rejected}</h2>
					{found.rejected.map((why) => (
						<p key={why}>{why}</p>
					))}
				</section>
			)}
		</>
	);
}

interface WayProps {
	job: string;
	span: Span;
	pieces: PlanPiece[];
	gone: string;
	plan: FillPlan;
	heading: string;
	isStale: boolean;
}

function Way({ job, span, pieces, gone, plan, heading, isStale }: WayProps) {
	const u = units.value;
	const next = plan.next;
	return (
		<section
			class="card stack"
			data-test={plan.closes ? "way" : "way-best"}
			data-miss={plan.miss}
			data-length={plan.length}
			data-aim={plan.aim}
			data-closes={plan.closes}
		>
			<div class="row">
				<Mark kind={plan.closes ? "agreed" : "warn"} />
				<h2 class="grow">{heading}</h2>
				<span class="soft">{text.welds(plan.welds)}</span>
			</div>
			<ol class="stack changes">
				{plan.pieces.map((p) => (
					<li key={p.id}>
						<PieceSaid piece={p} />
					</li>
				))}
			</ol>
			{next && (
				<p>
					<strong>
						{text.next(
							pieces.find((p) => p.id === next.bend)?.name ?? next.bend,
							exact(next.clock),
							offset(next.clock_arc, u),
						)}
					</strong>
				</p>
			)}
			<Outcome job={job} of={plan} more={[[text.cost, plan.cost.toFixed(2)]]} />
			<h3>{text.cutFrom}</h3>
			<p class="soft small">{text.cutAlone}</p>
			{plan.stock.map((s) => (
				<Bar key={`${s.stock} ${s.n}`} bar={s} />
			))}
			{plan.out.map((o) => (
				<p key={o.piece} class="row">
					<Mark kind="warn" />
					<span>
						<strong>{newName(o.piece)}</strong> {o.why}
					</span>
				</p>
			))}
			{plan.closes && (
				<Take job={job} span={span} pieces={pieces} gone={gone} plan={plan} isStale={isStale} />
			)}
		</section>
	);
}

function PieceSaid({ piece: p }: { piece: FillPiece }) {
	const u = units.value;
	if (p.kind === "straight")
		return (
			<>
				<strong>
					{newName(p.id)}: {text.straight(length(p.length, u))}
				</strong>
				{p.on_leg && <span class="soft"> {text.onLeg}</span>}
			</>
		);
	return (
		<>
			<strong>
				{newName(p.id)}:{" "}
				{text.bend(exact(p.angle), length(p.clr, u), exact(p.rotation), offset(p.clock_arc, u))}
			</strong>
			<span class="soft">
				{" "}
				{bench.outside} {length(p.outside, u)}, {bench.inside} {length(p.inside, u)}
			</span>
		</>
	);
}

// One piece of stock with what is cut from it and what is left.
function Bar({ bar }: { bar: CutStock }) {
	const u = units.value;
	const left = bar.left;
	return (
		<div class="stack">
			<p class="row">
				<span class="grow">{bar.name || bar.stock}</span>
				<span class="soft">{bar.on_hand ? cuts.fromRack : `${cuts.bought}, ${bar.price.toFixed(2)}`}</span>
			</p>
			<BarDrawing bar={bar} name={newName} />
			{left && (
				<p class="soft small">
					{cuts.left(typeof left.angle === "number" ? degrees(left.angle) : length(left.length, u))} ·{" "}
					{left.kept ? cuts.kept : cuts.scrap}
				</p>
			)}
		</div>
	);
}

type TakeProps = Omit<WayProps, "heading">;

// Putting it into the plan takes pieces out of the path, so it is asked twice.
function Take({ job, span, pieces, gone, plan, isStale }: TakeProps) {
	const [asked, setAsked] = useState(false);
	const [fault, setFault] = useState("");
	const take = () => {
		setFault("");
		fill(job, span, pieces, plan).then(
			(undo) => {
				offerUndo(text.taken, undo);
				go({ screen: "bench", job });
			},
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	return (
		<div class="stack">
			{asked ? (
				<>
					<p>{text.takes(plan.pieces.length, gone)}</p>
					<div class="row">
						<button
							type="button"
							class="primary grow"
							data-test="confirm-way"
							disabled={isStale}
							onClick={take}
						>
							{text.confirm}
						</button>
						<button type="button" class="grow" data-test="leave-way" onClick={() => setAsked(false)}>
							{text.leave}
						</button>
					</div>
				</>
			) : (
				<button type="button" data-test="take-way" disabled={isStale} onClick={() => setAsked(true)}>
					{text.take}
				</button>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</div>
	);
}

const newName = (id: string) => text.piece(id.slice(id.lastIndexOf("-") + 1));

// As the marks are to be made: some close by hundredths only.
const exact = (a: number | undefined) => `${plain(a)}°`;

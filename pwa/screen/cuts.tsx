import { useState } from "preact/hooks";
import { may } from "../lib/pairing";
import { sawn } from "../lib/sawn";
import { degrees, figure, length, notSaved, plain } from "../lib/say";
import { go, type Route, units, view } from "../lib/state";
import { cuts } from "../lib/textstock";
import type { CutStock, LaidPiece, LeftPart, PlanCuts } from "../lib/typescuts";
import { BarDrawing } from "../part/bardrawing";
import { BenchOnly } from "../part/benchonly";
import { Caution } from "../part/caution";
import { Figures } from "../part/figures";
import { FindingRow, worstFirst } from "../part/finding";
import { LongRun, useLong } from "../part/longrun";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { offerUndo } from "../part/undo";
import { ViewSwitch } from "../part/viewswitch";

// <Cuts job={…}> is the plan of cuts: what to buy, and of every piece of stock what is cut from it and where the
// marks lie.
// Props: job.  Calls: go.
export function Cuts({ job }: { job: string }) {
	const worked = useLong<PlanCuts>("cuts", job);
	const p = worked.answer;
	const found = worstFirst(p?.findings ?? []).filter((f) => !BELOW.includes(f.rule));
	return (
		<Page title={cuts.title} back={{ screen: "bench", job }} extra={<ViewSwitch />}>
			<div class="stack">
				<p class="soft">{cuts.why}</p>
				<div class="row">
					<Way test="to-stock" name={cuts.stock} to={{ screen: "stock", job }} />
					<Way test="to-cut-sheets" name={cuts.sheet} to={{ screen: "sheets", job }} />
				</div>
				<LongRun kind="cuts" job={job} worked={worked} />
				{p && (
					<div class={worked.isStale ? "stale stack" : "stack"} data-test="cuts" data-optimal={p.optimal}>
						<Sum plan={p} />
						{found.length > 0 && (
							<ul class="card" data-test="cuts-findings">
								{found.map((f) => (
									<FindingRow key={`${f.rule} ${f.text}`} job={job} finding={f} />
								))}
							</ul>
						)}
						<Aside plan={p} />
						{p.stock.length > 0 && <HowToRead plan={p} />}
						{p.stock.map((s) => (
							<Bar
								key={`${s.stock} ${s.n}`}
								job={job}
								bar={s}
								of={p.stock.filter((o) => o.stock === s.stock).length}
								isStale={worked.isStale}
							/>
						))}
					</div>
				)}
				<Caution />
			</div>
		</Page>
	);
}

// Rules of findings that stand further down, piece by piece: what is in no plan, and what is made of two.
const BELOW = ["piece-without-stock", "piece-split"];

// Pieces that are left out for one reason, together.
function byReason(out: PlanCuts["out"]): [string, string[]][] {
	const reasons = new Map<string, string[]>();
	for (const o of out) {
		const name = o.sets > 1 ? cuts.sets(shortPiece(o.piece), o.sets) : shortPiece(o.piece);
		reasons.set(o.why, [...(reasons.get(o.why) ?? []), name]);
	}
	for (const pieces of reasons.values())
		pieces.sort((a, b) => a.localeCompare(b, undefined, { numeric: true }));
	return [...reasons];
}

function Way({ test, name, to }: { test: string; name: string; to: Route }) {
	return (
		<button type="button" class="grow" data-test={test} onClick={() => go(to)}>
			{name} ▸
		</button>
	);
}

// What it comes to, and how sure it is that nothing is cheaper.
function Sum({ plan: p }: { plan: PlanCuts }) {
	if (p.stock.length === 0) return <p class="card soft">{p.out.length > 0 ? cuts.noneFits : cuts.none}</p>;
	const gap = p.cost > 0 ? `${plain((100 * (p.cost - p.bound)) / p.cost)} %` : "0 %";
	return (
		<section class="card stack" data-test="cuts-sum">
			<p class="row big-figure">
				<strong>{p.cost > 0 ? `${cuts.cost}: ${p.cost.toFixed(2)}` : cuts.nothingToBuy}</strong>
				<span class="soft">{cuts.welds(p.welds)}</span>
			</p>
			<p class="row">
				<Mark kind={p.optimal ? "agreed" : "note"} />
				<span>
					{p.optimal ? cuts.optimal : cuts.gap(gap)} {p.fewest_welds ? cuts.fewest : ""}{" "}
					{p.stopped ? cuts.stopped : ""}
				</span>
			</p>
			{p.buy.length > 0 && (
				<Figures
					title={cuts.buyTitle}
					head={[cuts.buyHead.item, cuts.buyHead.count, cuts.buyHead.cost]}
					test="buy"
				>
					{p.buy.map((b) => (
						<tr key={b.stock} data-test={`buy:${b.stock}`}>
							<th scope="row">{b.name || b.stock}</th>
							<td class="num">{b.count}</td>
							<td class="num">{b.cost.toFixed(2)}</td>
						</tr>
					))}
				</Figures>
			)}
		</section>
	);
}

// What is in no plan, and what is made of two.
function Aside({ plan: p }: { plan: PlanCuts }) {
	return (
		<>
			{p.out.length > 0 && (
				<section class="card stack" data-test="cuts-out">
					<h2>{cuts.outTitle}</h2>
					{byReason(p.out).map(([why, pieces]) => (
						<p key={why} class="row">
							<Mark kind="warn" />
							<span>
								<strong>{pieces.join(", ")}</strong>: {why}
							</span>
						</p>
					))}
					<p class="soft">{cuts.outHelp}</p>
				</section>
			)}
			{p.splits.length > 0 && (
				<section class="card stack">
					<h2>{cuts.splitTitle}</h2>
					{p.splits.map((s) => (
						<p key={s.piece}>
							{cuts.split(
								shortPiece(s.piece),
								s.parts.map((part, i) => `${shortPiece(part)} ${degrees(s.angles[i])}`).join(", "),
							)}
						</p>
					))}
					<p class="soft">{cuts.splitHelp}</p>
				</section>
			)}
		</>
	);
}

const isOfBend = (bar: CutStock) => bar.cuts.some((c) => c.from !== undefined);

// What is the same for every piece of stock, once: where marks are laid from, and what the button below each does.
function HowToRead({ plan: p }: { plan: PlanCuts }) {
	return (
		<section class="card stack" data-test="cuts-how">
			<p>
				{[
					p.stock.some(isOfBend) ? cuts.marksHint : "",
					p.stock.some((s) => !isOfBend(s)) ? cuts.marksHintStraight : "",
				]
					.filter((s) => s !== "")
					.join(" ")}
			</p>
			{p.stock.some((s) => s.cuts.some((c) => c.flipped)) && <p>{cuts.flippedHint}</p>}
			{may("piece") ? <p>{cuts.sawnHint}</p> : <BenchOnly kind="piece" />}
		</section>
	);
}

// One piece of stock with what is cut from it; of says how many of its item there are.
function Bar({ job, bar, of, isStale }: { job: string; bar: CutStock; of: number; isStale: boolean }) {
	const [fault, setFault] = useState("");
	const u = units.value;
	const name = bar.name || bar.stock;
	const title = of > 1 ? cuts.nth(name, bar.n, of) : name;
	const isBend = isOfBend(bar);
	const head = isBend
		? [cuts.piece, `${cuts.marks.outside}, ${u}`, `${cuts.marks.inside}, ${u}`, cuts.marks.angle]
		: [cuts.piece, `${cuts.marks.length}, ${u}`, `${cuts.marks.from}, ${u}`, `${cuts.marks.to}, ${u}`];
	return (
		<section class="card stack" data-test={`bar:${bar.stock}:${bar.n}`}>
			<div class="row">
				<h2 class="grow">{title}</h2>
				<span class="soft">{bar.on_hand ? cuts.fromRack : `${cuts.bought}, ${bar.price.toFixed(2)}`}</span>
			</div>
			<BarDrawing bar={bar} name={shortPiece} />
			{bar.true_clr !== null && <p class="soft">{cuts.trueCLR(length(bar.true_clr, u))}</p>}
			<Figures title="" head={head}>
				{bar.cuts.map((c) => (
					<Laid key={`${c.piece} ${c.set}`} job={job} laid={c} />
				))}
			</Figures>
			{bar.rest.map((l, i) => (
				<p key={i} class="soft">
					{cuts.left(leftSaid(l))} · {l.kept ? cuts.kept : cuts.scrap}
				</p>
			))}
			{may("piece") && (
				<button
					type="button"
					data-test={`sawn:${bar.stock}:${bar.n}`}
					disabled={isStale}
					onClick={() => {
						setFault("");
						sawn(job, bar, elementsOf(bar)).then(
							(undo) => offerUndo(cuts.sawnSaid(title), undo),
							(e: unknown) => setFault(notSaved(e)),
						);
					}}
				>
					{cuts.sawn}
				</button>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</section>
	);
}

function Laid({ job, laid: c }: { job: string; laid: LaidPiece }) {
	const u = units.value;
	const beside = [
		c.set > 1 ? cuts.second(c.set) : "",
		c.flipped ? cuts.flipped : "",
		c.leg_a ? cuts.leg("A", shortPiece(c.leg_a.piece), length(c.leg_a.length, u)) : "",
		c.leg_b ? cuts.leg("B", shortPiece(c.leg_b.piece), length(c.leg_b.length, u)) : "",
	].filter((s) => s !== "");
	const two = (a: number | undefined, b: number | undefined) => `${figure(a, u)} – ${figure(b, u)}`;
	return (
		<tr data-test={`laid:${c.piece}`}>
			<th scope="row">
				<button
					type="button"
					class="plain piece-way"
					onClick={() => go({ screen: "piece", job, id: c.piece })}
				>
					<span>
						<strong>{shortPiece(c.piece)}</strong>{" "}
						{beside.length > 0 && <span class="soft small laid-beside">{beside.join(", ")}</span>}
					</span>
				</button>
			</th>
			{c.from && c.to ? (
				<>
					<td class="num">{two(c.from.outside, c.to.outside)}</td>
					<td class="num">{two(c.from.inside, c.to.inside)}</td>
					<td class="num">
						{`${degrees(c.from.angle)} – ${degrees(c.to.angle)}`}
						<span class="soft small laid-below">{cuts.through(degrees(c.to.angle - c.from.angle))}</span>
					</td>
				</>
			) : (
				<>
					<td class="num">
						<strong>{figure((c.end ?? 0) - (c.start ?? 0), u)}</strong>
					</td>
					<td class="num">{figure(c.start, u)}</td>
					<td class="num">{figure(c.end, u)}</td>
				</>
			)}
		</tr>
	);
}

function leftSaid(l: LeftPart): string {
	const u = units.value;
	const legs = [l.leg_a, l.leg_b].filter((leg) => leg > 0).map((leg) => length(leg, u));
	const size = typeof l.angle === "number" ? degrees(l.angle) : length(l.length, u);
	return legs.length > 0 ? `${size}, ${cuts.legs(legs)}` : size;
}

// The elements with which the pieces begin that are cut from a piece of stock, those of its legs too. A piece that
// is made of two is cut when its second part is.
function elementsOf(bar: CutStock): string[] {
	const ids = bar.cuts.filter((c) => c.set === 1).flatMap((c) => [c.piece, c.leg_a?.piece, c.leg_b?.piece]);
	return (view.value?.plan.tubes ?? [])
		.flatMap((t) => t.pieces ?? [])
		.filter((p) => ids.includes(p.id) || ids.includes(`${p.id}b`))
		.map((p) => p.element);
}

// shortPiece is what is chalked on a piece, or on a part of one that is made of two.
function shortPiece(id: string): string {
	for (const t of view.value?.plan.tubes ?? [])
		for (const p of t.pieces ?? [])
			if (id === p.id || id === `${p.id}a` || id === `${p.id}b`) return p.name + id.slice(p.id.length);
	return id;
}

import { useState } from "preact/hooks";
import { asked } from "../lib/fields";
import { wholeDegrees } from "../lib/say";
import { engineGroups } from "../lib/sizing";
import { sizing } from "../lib/textsizing";
import type { Crossover, Group, Grouping, Pairing, Style } from "../lib/typessizing";
import { CrankDial } from "../part/crankdial";
import { FieldCell } from "../part/fieldcell";
import { LongRun, useLong } from "../part/longrun";
import { Mark } from "../part/mark";
import type { SizingPartProps } from "./sizing";

const t = sizing.pairing;

// <SizingPairing job={…} says={…}> is which cylinders go together: for the style that is to be built the best grouping,
// drawn, what is as good and what is next best; then the crossover set, the other styles, and any cylinders that a
// person taps.
// Props: job, says.  Calls: nothing.
export function SizingPairing({ job, says }: SizingPartProps) {
	const [shown, setShown] = useState("");
	if (!says) return null;
	const p = says.pairing;
	if (p.spots.length === 0) return <NoOrder job={job} why={p.why} />;
	const styles = [...new Set(p.styles.map((s) => s.style))];
	const style = styles.includes(shown) ? shown : styles[0];
	const here = p.styles.filter((s) => s.style === style); // one for each bank, or one of all
	const groups = here.flatMap(drawn);
	return (
		<>
			<section class="card stack" data-test="pairing-order">
				<p class="row big-figure">
					<strong>{t.order(p.order.join("-"), p.numbering)}</strong>
				</p>
				<p>{bankWords(p)}</p>
				{p.why !== "" && <p class="soft">{sizing.sentence(p.why)}</p>}
				<Order job={job} />
				<p class="soft small">{t.otherwise}</p>
			</section>
			{styles.length > 1 && (
				<fieldset class="parts">
					<legend class="aside">{t.others}</legend>
					{styles.map((s) => (
						<button
							key={s}
							type="button"
							class={s === style ? "picked" : ""}
							aria-pressed={s === style}
							data-test={`style:${s}`}
							onClick={() => setShown(s)}
						>
							{s}
						</button>
					))}
				</fieldset>
			)}
			{here.length > 0 && (
				<div class="split" key={style}>
					<section class="card stack split-figure" data-test="dial">
						<CrankDial pairing={p} groups={groups} />
					</section>
					<div class="stack">
						{here.map((s) => (
							<StyleCard key={s.bank} style={s} from={groups.indexOf(drawn(s)[0] as Group)} />
						))}
					</div>
				</div>
			)}
			{p.crossover && <CrossoverCard pairing={p} crossover={p.crossover} />}
			<AnyCylinders job={job} pairing={p} />
		</>
	);
}

// What is to be entered before anything can be paired.
function NoOrder({ job, why }: { job: string; why: string }) {
	return (
		<section class="card stack" data-test="no-order">
			<p class="row">
				<Mark kind="missing" />
				{sizing.sentence(why)}
			</p>
			<Order job={job} />
		</section>
	);
}

function Order({ job }: { job: string }) {
	return (
		<div class="cells">
			{engineGroups.order?.flatMap((name) => {
				const ask = asked(`engine/self/${name}`);
				return ask ? [<FieldCell key={name} job={job} ask={ask} />] : [];
			})}
		</div>
	);
}

// Which tubes go to the other bank's collector, so that both fire evenly.
function CrossoverCard({ pairing: p, crossover: c }: { pairing: Pairing; crossover: Crossover }) {
	return (
		<section class="card stack" data-test="crossover">
			<h2>{t.crossover}</h2>
			{c.cross.length === 0 ? (
				<p>{t.noCross}</p>
			) : (
				<>
					<p>{t.cross(c.cross.join(", "))}</p>
					<CrankDial pairing={p} groups={c.sides.map((s) => s.group)} />
					{c.sides.map((s, i) => (
						<div key={s.bank} class="group">
							<p class="row">
								<Dash n={i} />
								<strong>{t.side(s.bank, s.group.cylinders.join("-"))}</strong>
								{s.group.cylinders.length > 2 && <span class="soft small">{t.round}</span>}
							</p>
							<Gaps group={s.group} />
						</div>
					))}
					<p>{t.ties(c.ties)}</p>
					<p class="soft small">{t.crossBy}</p>
				</>
			)}
		</section>
	);
}

// How far apart cylinders fire that a person picks.
function AnyCylinders({ job, pairing: p }: { job: string; pairing: Pairing }) {
	const [picked, setPicked] = useState<number[]>([]);
	const list = p.spots.map((s) => s.cylinder).sort((a, b) => a - b);
	const here = picked.filter((n) => list.includes(n)); // the engine may have lost one since
	const tapped = (n: number) =>
		setPicked(here.includes(n) ? here.filter((m) => m !== n) : [...here, n].sort((a, b) => a - b));
	return (
		<section class="card stack" data-test="any-cylinders">
			<h2>{t.any}</h2>
			<p class="soft">{t.anyWhy}</p>
			<fieldset class="parts">
				<legend class="aside">{t.any}</legend>
				{list.map((n) => (
					<button
						key={n}
						type="button"
						class={here.includes(n) ? "picked" : ""}
						aria-pressed={here.includes(n)}
						aria-label={t.anyOne(n)}
						data-test={`any:${n}`}
						onClick={() => tapped(n)}
					>
						{n}
					</button>
				))}
			</fieldset>
			{here.length < 2 ? <p class="soft">{t.anyFew}</p> : <AnyGroup job={job} pairing={p} cylinders={here} />}
		</section>
	);
}

function AnyGroup({ job, pairing, cylinders }: { job: string; pairing: Pairing; cylinders: number[] }) {
	const worked = useLong<Group>("group", job, { cylinders });
	const g = worked.answer;
	const isOf = g !== null && [...g.cylinders].sort((a, b) => a - b).join() === cylinders.join();
	return (
		<>
			<LongRun kind="group" job={job} worked={worked} />
			{g && isOf && (
				<div class="stack" data-test={`any-group:${g.cylinders.join("-")}`}>
					<p>
						<strong>{g.cylinders.join("-")}</strong>
					</p>
					<Gaps group={g} />
					<CrankDial pairing={pairing} groups={[g]} />
				</div>
			)}
		</>
	);
}

// What is drawn of a style: with secondaries the pairs, else the groups.
const drawn = (s: Style): Group[] => {
	const pairs = s.inner.flatMap((list) => list[0]?.groups ?? []);
	return pairs.length > 0 ? pairs : (s.best[0]?.groups ?? []);
};

function bankWords(p: Pairing): string {
	const shape = (i: number) => (i === 0 ? t.numbers.circle : t.numbers.square);
	return t.banks(p.banks.map((b, i) => t.bank(b.name, shape(i), b.cylinders.join(", "))));
}

// From: the dash of its first group, as it is drawn.
function StyleCard({ style: s, from }: { style: Style; from: number }) {
	const best = s.best[0];
	const isOnly = s.ties === 1 && s.next.length === 0 && s.inner_next.every((list) => list.length === 0);
	const list = drawn(s);
	const isStepped = list !== best?.groups;
	return (
		<section class="card stack" data-test={`best:${s.style}`}>
			<h2>{t.style(s.style, s.bank)}</h2>
			{list.map((g, i) => (
				<div key={g.cylinders.join()} class="group" data-test={`group:${g.cylinders.join("-")}`}>
					<p class="row">
						<Dash n={from + i} />
						<strong>
							{t.group(i + 1)}: {g.cylinders.join("-")}
						</strong>
						{g.cylinders.length > 2 && <span class="soft small">{t.round}</span>}
					</p>
					<Gaps group={g} />
				</div>
			))}
			{isStepped &&
				best?.groups.map((g) => (
					<p key={g.cylinders.join()} class="soft">
						{t.inner}: {g.cylinders.join("-")}, {t.gaps(gapsOf(g))}
					</p>
				))}
			<p data-test="ties">{isOnly ? t.only : t.ties(s.ties)}</p>
			{[s.next, ...s.inner_next].map(
				(after) => after.length > 0 && <After key={after.map(groupsOf).join()} list={after} />,
			)}
			{best && groupsOf(s.worst) !== groupsOf(best) && (
				<p class="soft">{t.worst(groupsOf(s.worst), t.least(wholeDegrees(s.worst.least)))}</p>
			)}
			<p class="soft small">
				{s.source.text} ({s.source.grade})
			</p>
		</section>
	);
}

// What comes next, best first, with its separations.
function After({ list }: { list: Grouping[] }) {
	return (
		<div class="stack after" data-test="next-best">
			<h3>{t.next}</h3>
			<ol class="stack">
				{list.map((g) => (
					<li key={groupsOf(g)}>
						{g.groups.map((o) => (
							<p key={o.cylinders.join()}>
								{o.cylinders.join("-")}: {t.gaps(gapsOf(o))}, {o.even ? t.even : t.uneven}
							</p>
						))}
					</li>
				))}
			</ol>
		</div>
	);
}

function Gaps({ group: g }: { group: Group }) {
	return (
		<p class="row">
			<Mark kind={g.even ? "agreed" : "note"} />
			{t.gaps(gapsOf(g))}, {g.even ? t.even : t.uneven}
		</p>
	);
}

const gapsOf = (g: Group) => g.gaps.map(wholeDegrees).join(", ");

const groupsOf = (g: Grouping) => g.groups.map((o) => o.cylinders.join("-")).join(" and ");

// The dash by which the lines of a group are told apart.
function Dash({ n }: { n: number }) {
	return (
		<svg class="dash-key" viewBox="0 0 56 12" width="56" height="12" aria-hidden="true" focusable="false">
			<path class={`dial-line dash-${n % 4}`} d="M2 6h52" />
		</svg>
	);
}

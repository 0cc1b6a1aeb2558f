import { asked } from "../lib/fields";
import { atOf, readSlots } from "../lib/inspect";
import { figure, type Maybe, moment, offset, type Units } from "../lib/say";
import { go, units } from "../lib/state";
import { inspect as t } from "../lib/textinspect";
import type { CheckRow } from "../lib/typesinspect";
import { said } from "../part/fieldcell";
import { known, titleOf } from "../part/known";
import { Mark, type MarkKind } from "../part/mark";
import { now } from "../part/now";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";
import { chooseRoute } from "../part/resting";
import { shownBy } from "../part/shownby";
import type { InspectPartProps } from "./inspect";

const OF = { lengths: "tube", collector: "collector", flat: "bank" } as const;

// <InspectRows job at plan> lists what is read at a moment, lengths first: planned, read, off and how that is in words.
// Props: job, at, plan.  Calls: what its rows call.
export function InspectRows({ job, at, plan }: InspectPartProps) {
	const slots = readSlots(job, at).filter((s) => !/_[yz]$/.test(s)); // a place is one thing
	return (
		<>
			{(Object.keys(OF) as (keyof typeof OF)[]).map((group) => {
				const own = slots.filter((s) => s.startsWith(`${OF[group]}/`));
				if (own.length === 0) return null;
				return (
					<section key={group} class="card stack" data-test={`group:${group}`}>
						<h2>{t.groups[group]}</h2>
						{group === "flat" && <p class="soft">{t.flatWhy}</p>}
						<ul class="reads">
							{own.map((slot) => (
								<ReadRow
									key={slot}
									job={job}
									slot={slot}
									row={plan?.rows.find((r) => r.at === atOf(at) && isAt(r, slot))}
								/>
							))}
						</ul>
						{group === "lengths" && <Spread job={job} at={at} plan={plan} />}
					</section>
				);
			})}
		</>
	);
}

/** isAt tells whether a row is about what is read at a slot. */
function isAt(r: CheckRow, slot: string): boolean {
	return r.slot === slot;
}

// <ReadRow job slot row> is one thing that is read: a tap reads it, or chooses where readings differ.
// Props: job, slot, row (as worked out; none before it is read).  Calls: go.
function ReadRow({ job, slot, row }: { job: string; slot: string; row: CheckRow | undefined }) {
	const state = known(job, slot).state;
	const isOpen = state === "missing";
	const first = row?.disputed.find((s) => known(job, s).state === "disputed");
	return (
		<li class="read-row" data-test={`read:${slot}`} data-verdict={row ? verdictOf(row) : "open"}>
			<button
				type="button"
				class="read-way"
				data-test={`to-read:${slot}`}
				onClick={() => go(first === undefined ? { screen: "measure", job, slot } : chooseRoute(job, first))}
			>
				<span class="read-name">
					<strong>{nameOf(job, slot)}</strong>
					<Verdict row={row} />
				</span>
				{row ? <Figures row={row} /> : <Typed job={job} slot={slot} isOpen={isOpen} />}
			</button>
			{row && (
				<p class="soft small">
					{[row.by && t.by(row.by), row.when && moment(row.when, now.value), row.with]
						.filter((s) => s !== "")
						.join(", ")}
					{row.grade !== "" && `; ${t.grade(row.grade)}`}
				</p>
			)}
			{row?.what === "position" && row.places && (
				<p class="small" data-test={`ways:${slot}`}>
					{t.ways(row.places.off.map((v) => offset(v, units.value)))}
				</p>
			)}
			{row?.readings.map((r) => (
				<p key={r.text} class="row small">
					<Mark kind="disputed" />
					{r.text}
				</p>
			))}
			<div class="row wrap">
				<PhotoButton job={job} slot={slot} what={shownBy(job, slot)} />
				<Photos job={job} slot={slot} />
			</div>
		</li>
	);
}

function nameOf(job: string, slot: string): string {
	const [kind = "", id = "", field = ""] = slot.split("/");
	const name = titleOf(job, kind, id);
	if (kind === "collector") return field.includes("tip") ? t.aim(name) : t.place(name);
	if (kind === "bank") return field.includes("pair") ? t.pair(name) : t.whole(name);
	return name;
}

// What stands in a slot before the calculation has said anything of it.
function Typed({ job, slot, isOpen }: { job: string; slot: string; isOpen: boolean }) {
	const ask = asked(slot);
	const head = known(job, slot).heads[0];
	return <span class="read-figures soft">{isOpen || !ask || !head ? "▸" : said(job, ask, head)}</span>;
}

type Said = "good" | "off" | "differ" | "unknown";

function verdictOf(r: { ok: boolean | null; disputed: string[] }): Said {
	if (r.ok === null) return r.disputed.length > 0 ? "differ" : "unknown";
	return r.ok ? "good" : "off";
}

const MARKS: Record<Said, MarkKind> = { good: "agreed", off: "warn", differ: "disputed", unknown: "note" };

// <Verdict row> says in a word, beside a shape, how a reading is.
// Props: row.  Calls: nothing.
function Verdict({ row }: { row: CheckRow | undefined }) {
	const says = row ? verdictOf(row) : "open";
	return (
		<span class={`read-verdict read-${says}`}>
			<Mark kind={says === "open" ? "missing" : MARKS[says]} />
			{t.verdict[says]}
		</span>
	);
}

function Figures({ row }: { row: CheckRow }) {
	const u = units.value;
	const write = writes(row, u);
	const isOff = row.planned === 0; // what is off is all that there is
	const off =
		row.low !== null && row.high !== null
			? t.between(write(row.low, true), write(row.high, true))
			: write(row.off, true);
	return (
		<span class="read-figures">
			{!isOff && <Cell label={t.planned} value={write(row.planned, false)} />}
			{!isOff && <Cell label={t.read} value={write(row.read, false)} />}
			<Cell label={t.off} value={off} strong />
			{row.tolerance !== null && (
				<Cell
					label=""
					value={isOff ? t.most(write(row.tolerance, false)) : t.within(write(row.tolerance, false))}
				/>
			)}
		</span>
	);
}

function Cell({ label, value, strong }: { label: string; value: string; strong?: boolean }) {
	return (
		<span class="read-cell">
			<span class="soft small">{label}</span>
			{strong ? <strong>{value}</strong> : <span>{value}</span>}
		</span>
	);
}

// How the figures of a row are written: never so coarse that what is off looks as if it were not.
function writes(row: CheckRow, u: Units): (v: Maybe, signed: boolean) => string {
	if (row.unit === "°") return (v) => (typeof v === "number" ? `${v.toFixed(2)}°` : "–");
	if (row.what.startsWith("flatness"))
		return (v) =>
			typeof v === "number" ? (u === "in" ? `${(v / 25.4).toFixed(4)} in` : `${v.toFixed(3)} mm`) : "–";
	if (row.what === "length") return (v, signed) => (signed ? offset(v, u) : `${figure(v, u)} ${u}`);
	return (v) => `${figure(v, u)} ${u}`;
}

// How far the tubes are apart at this moment.
function Spread({ at, plan }: InspectPartProps) {
	const s = plan?.spread;
	if (!s) return null;
	const tacked = at === "tacked";
	const [v, low, high] = tacked
		? [s.tacked, s.tacked_low, s.tacked_high]
		: [s.welded, s.welded_low, s.welded_high];
	if (v === null) return null;
	const u = units.value;
	const says =
		low !== null && high !== null
			? t.between(figure(low, u), `${figure(high, u)} ${u}`)
			: `${figure(v, u)} ${u}`;
	const over = s.limit !== null && (high ?? v) > s.limit + 1e-6;
	return (
		<p class="row" data-test="spread">
			<Mark kind={s.limit === null ? "note" : over ? "warn" : "agreed"} />
			<span class="grow">{t.spread}</span>
			<strong>{says}</strong>
			{s.limit !== null && <span class="soft small">{t.spreadLimit(`${figure(s.limit, u)} ${u}`)}</span>}
		</p>
	);
}

import { asked } from "../lib/fields";
import { degrees, figure, length, plain } from "../lib/say";
import { type PlanEnd, units } from "../lib/state";
import { flange } from "../lib/textflange";
import { FieldCell } from "./fieldcell";
import { Figures } from "./figures";
import { FindingsOf, findingsOf } from "./findingsof";
import { nameOf, word } from "./known";
import { Mark } from "./mark";
import { Resting } from "./resting";
import { shortName } from "./shortname";

// <TubeEnds job={…} ends={…}> says of each tube what forming its end to the port asks of it: stretch, die, wall, and
// the area along the transition as a curve with its figures.
// Props: job, ends (of the plan).  Calls: what its cells call.
export function TubeEnds({ job, ends }: { job: string; ends: PlanEnd[] }) {
	const t = flange.ends;
	return (
		<section class="stack" data-test="ends">
			<h2>{t.title}</h2>
			{ends.length === 0 && <p class="soft">{t.none}</p>}
			<div class="columns">
				{ends.map((e) => (
					<End key={e.tube} job={job} end={e} />
				))}
			</div>
		</section>
	);
}

function End({ job, end }: { job: string; end: PlanEnd }) {
	const u = units.value;
	const t = flange.ends;
	const { die, loft, template } = end;
	const found = findingsOf(job, "tube", end.tube).filter((f) => f.rule.startsWith("end-"));
	const ask = asked(`tube/${end.tube}/transition`);
	const isAssumed = word(job, `tube/${end.tube}/transition`) === "";
	return (
		<section class="card stack" data-test={`end:${end.tube}`}>
			<h3>{t.of(nameOf(job, end.tube), shortName(job, end.port))}</h3>
			<Resting job={job} slots={end.disputed} />
			{found.length > 0 && <FindingsOf job={job} list={found} />}
			{end.why === "" && (
				<>
					<ul class="ends">
						<Row
							label={t.stretch}
							say={t.stretchSay(plain(round(end.stretch_percent, 2)))}
							more={t.strain(plain(round(end.strain_percent, 2)))}
						/>
						{die && (
							<Row
								label={t.die}
								say={length(die.perimeter, u)}
								more={t.clearance(length(die.clearance, u))}
							/>
						)}
						{loft && (
							<>
								<Row label={t.length} say={length(loft.length, u)} more={isAssumed ? t.assumed : ""} />
								<Row
									label={t.wall}
									say={degrees(loft.wall_angle)}
									more={t.wallAt(length(loft.wall_at[0], u), length(loft.wall_at[1], u))}
								/>
							</>
						)}
					</ul>
					{ask && <FieldCell job={job} ask={ask} />}
					{loft && <Areas loft={loft} />}
					{template && (
						<p class="row">
							<Mark kind={template.good ? "agreed" : "note"} />
							{template.exact
								? t.exact
								: template.good
									? t.flat(length(template.error, u))
									: t.notFlat(length(template.error, u))}
						</p>
					)}
				</>
			)}
		</section>
	);
}

function Row({ label, say, more }: { label: string; say: string; more: string }) {
	return (
		<li class="row">
			<span class="grow">
				{label}
				{more !== "" && <span class="named-more soft small">{more}</span>}
			</span>
			<strong>{say}</strong>
		</li>
	);
}

const WIDE = 380;
const HIGH = 150;
const [LEFT, RIGHT, TOP, FOOT] = [26, 26, 40, 42];

// <Areas> is the area along a transition as a curve from the port to the round tube, with figures at its ends and
// where it is least or greatest, and behind one tap all of them.
function Areas({ loft }: { loft: NonNullable<PlanEnd["loft"]> }) {
	const u = units.value;
	const t = flange.ends;
	const areas = loft.areas;
	const [first, last] = [areas[0], areas.at(-1)];
	if (!first || !last) return null;
	const low = Math.min(loft.least, ...areas.map((a) => a[1]));
	const high = Math.max(loft.greatest, ...areas.map((a) => a[1]));
	// a tenth of the area fills the picture at least: a curve that is nearly level looks so
	const span = Math.max(high - low, 0.1 * high);
	const at = ([s, a]: [number, number]): [number, number] => [
		LEFT + (s / (loft.length || 1)) * (WIDE - LEFT - RIGHT),
		HIGH - FOOT - ((a - (high + low - span) / 2) / span) * (HIGH - TOP - FOOT),
	];
	const line = areas
		.map((a) =>
			at(a)
				.map((v) => Math.round(v * 10) / 10)
				.join(" "),
		)
		.join("L");
	const [x0, y0] = at(first);
	const [x1, y1] = at(last);
	const narrowest = areas.reduce((a, b) => (b[1] < a[1] ? b : a));
	const inside = narrowest !== first && narrowest !== last;
	const less = 100 * (1 - narrowest[1] / Math.min(first[1], last[1]));
	const [nx, ny] = at(narrowest);
	return (
		<figure class="drawing face areas" data-test="areas">
			<svg
				viewBox={`0 0 ${WIDE} ${HIGH}`}
				role="img"
				aria-label={t.areasAria(area(first[1]), area(last[1]), area(loft.least), area(loft.greatest))}
			>
				<g class="axes">
					<path d={`M${LEFT - 12} ${HIGH - FOOT + 8}H${WIDE - 6}m-9 -4l9 4l-9 4`} />
				</g>
				<path class="line" d={`M${line}`} />
				<g class="face-names">
					<circle class="dot" cx={x0} cy={y0} r="5" />
					<circle class="dot" cx={x1} cy={y1} r="5" />
					<text x={Math.max(6, x0 - 18)} y={y0 - 12}>
						{area(first[1])}
					</text>
					<text x={WIDE - 6} y={y1 - 12} text-anchor="end">
						{area(last[1])}
					</text>
					{inside && (
						<>
							<circle class="dot" cx={nx} cy={ny} r="5" />
							<text x={nx} y={ny + 24} text-anchor="middle">
								{area(narrowest[1])}
							</text>
						</>
					)}
				</g>
				<text x="6" y={HIGH - 12}>
					{t.port}
				</text>
				<text x={WIDE - 6} y={HIGH - 12} text-anchor="end">
					{t.tube}
				</text>
			</svg>
			<figcaption class="small">
				<strong>{t.areas}</strong>
				{inside && less > 0.05 && ` · ${t.narrow(plain(round(less, 1)))}`}
			</figcaption>
			<details class="removed">
				<summary>{t.figures}</summary>
				<Figures title="" head={[`${t.fromPort}, ${u}`, `${t.area}, ${areaUnit()}`]}>
					{areas.map(([s, a]) => (
						<tr key={s}>
							<th scope="row">{figure(s, u)}</th>
							<td class="num">{areaFigure(a)}</td>
						</tr>
					))}
				</Figures>
			</details>
		</figure>
	);
}

const round = (v: number, places: number) => Math.round(v * 10 ** places) / 10 ** places;

/** areaUnit is the unit of areas beside lengths as they are shown. */
export const areaUnit = () => (units.value === "mm" ? flange.ports.mm2 : flange.ports.cm2);

/** areaFigure writes an area given in mm²: mm² to 1, in² to 0.001. */
export const areaFigure = (mm2: number) =>
	units.value === "mm" ? mm2.toFixed(0) : (mm2 / 645.16).toFixed(3);

const area = (mm2: number) => `${areaFigure(mm2)} ${areaUnit()}`;

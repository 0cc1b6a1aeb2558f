import { asksFor } from "../lib/fields";
import { degrees, figure, length, plain } from "../lib/say";
import { type PlanDesign, units, view } from "../lib/state";
import { flange } from "../lib/textflange";
import type { Least } from "../lib/typesflange";
import type { Spot } from "./facedrawing";
import { FieldCell } from "./fieldcell";
import { Figures } from "./figures";
import { nameOf, word } from "./known";
import { Mark } from "./mark";
import { Resting } from "./resting";
import { shortName } from "./shortname";

// <Making job={…} bank="A"> are the fields that say how a flange is made, each with what holds while it is open.
// Props: job, bank.  Calls: what its cells call.
export function Making({ job, bank }: { job: string; bank: string }) {
	return (
		<section class="card stack" data-test="making">
			<h2>{flange.making.title}</h2>
			<p class="soft">{flange.making.why}</p>
			<ul class="making">
				{asksFor("bank", bank, (s) => word(job, s), "making").map((ask) => (
					<li key={ask.slot}>
						<FieldCell job={job} ask={ask} />
						<p class="soft small">{ask.field.help}</p>
					</li>
				))}
			</ul>
		</section>
	);
}

const LEASTS = [
	["a", "edge", "edge_least", "flange-edge"],
	["b", "web", "web_least", "flange-web"],
	["c", "washer", "washer_least", "flange-washer"],
	["d", "socket", "socket_least", "flange-socket"],
] as const;

/** spotsOf are the letters of the places where least is left, as the table beside the drawing has them. */
export const spotsOf = (design: PlanDesign): Spot[] =>
	LEASTS.flatMap(([letter, , key]): Spot[] => {
		const least = design[key];
		return least ? [{ letter, place: least.place }] : [];
	});

// <Design job={…} design={…}> is what comes of it: where least metal and room is left, mass and growth, holes with
// the rule that they are made by, saw cuts.
// Props: job, design (of the plan).  Calls: nothing.
export function Design({ job, design }: { job: string; design: PlanDesign }) {
	const u = units.value;
	const t = flange.design;
	const isShort = (rule: string) =>
		(view.value?.plan.findings ?? []).some((f) => f.rule === rule && f.severity !== "note");
	const placed = (l: Least) =>
		l.between
			? t.between(shortName(job, l.between[0] ?? ""), shortName(job, l.between[1] ?? ""))
			: t.at(shortName(job, l.at ?? ""));
	const rules = [...new Set(design.holes.map((h) => h.rule))];
	return (
		<section class="card stack design" data-test="design">
			<div class="row">
				<h2 class="grow">{t.title}</h2>
				<span class="soft">{[t.revision(design.revision), t.plates(design.pieces.length)].join(" · ")}</span>
			</div>
			<Resting job={job} slots={design.disputed} />
			<Figures title="" head={[t.what, t.figure, t.where]}>
				{LEASTS.map(([letter, name, key, rule]) => {
					const least = design[key];
					return (
						least && (
							<tr key={key} data-test={`least-${name}`}>
								<th scope="row">
									<span class="named">
										<Mark kind={isShort(rule) ? "warn" : "agreed"} />
										<span>
											<span class="letter">{letter}</span> {t[name]}
											{isShort(rule) && <strong class="named-word">{t.lacks}</strong>}
										</span>
									</span>
								</th>
								<td class="num">{length(least.value, u)}</td>
								<td class="num said">{placed(least)}</td>
							</tr>
						)
					);
				})}
				<tr>
					<th scope="row">
						<span class="named">{t.mass}</span>
					</th>
					<td class="num" data-test="flange-mass">
						{design.mass_kg === null ? t.noMass : t.massOf(design.mass_kg.toFixed(2))}
					</td>
					<td class="num said">{design.density === null ? "" : t.density(plain(design.density))}</td>
				</tr>
				<tr>
					<th scope="row">
						<span class="named">{t.growth}</span>
					</th>
					<td class="num">{length(design.growth_mm, u)}</td>
					<td />
				</tr>
				<tr>
					<th scope="row">
						<span class="named">{t.thickness}</span>
					</th>
					<td class="num">{length(design.thickness, u)}</td>
					<td />
				</tr>
			</Figures>
			{design.overlaps.map((o) => (
				<p key={`${o.ports}`} class="row">
					<Mark kind="warn" />
					{t.overlaps(shortName(job, o.ports[0]), shortName(job, o.ports[1]), length(o.by, u))}
				</p>
			))}
			<Figures
				title={t.holes}
				head={[t.bolt, `${t.diameter}, ${u}`, `${t.slot}, ${u}`, t.turned, `${t.grows}, ${u}`]}
				foot={rules.map(t.rule).join(" ")}
				test="holes"
			>
				{design.holes.map((h) => (
					<tr key={h.bolt}>
						<th scope="row">{nameOf(job, h.bolt)}</th>
						<td class="num">{figure(h.diameter, u)}</td>
						<td class="num">{h.slot > 0 ? figure(h.diameter + h.slot, u) : t.round}</td>
						<td class="num">{h.slot > 0 ? degrees(slantOf(h.dir)).replace("°", "") : ""}</td>
						<td class="num">{figure(h.growth, u)}</td>
					</tr>
				))}
			</Figures>
			{design.cuts.length > 0 && (
				<Figures title={t.cuts} head={[t.cut, `${t.bridge}, ${u}`, `${t.beside}, ${u}`]} test="cuts">
					{design.cuts.map((c) => (
						<tr key={`${c.between}`}>
							<th scope="row">{t.between(shortName(job, c.between[0]), shortName(job, c.between[1]))}</th>
							<td class="num">{figure(c.bridge, u)}</td>
							<td class="num">{figure(c.web, u)}</td>
						</tr>
					))}
				</Figures>
			)}
		</section>
	);
}

// The slant of a slot from x, counter-clockwise, −90° to 90° as on the sheet; it has no sense of direction.
const slantOf = ([x, y]: [number, number]): number =>
	((x < 0 ? Math.atan2(-y, -x) : Math.atan2(y, x)) * 180) / Math.PI;

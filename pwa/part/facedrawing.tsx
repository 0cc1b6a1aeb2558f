import { useId } from "preact/hooks";
import { boxOf, nearest, type Side, timesLonger } from "../lib/face";
import { bank } from "../lib/textbank";
import { flange as t } from "../lib/textflange";
import type { Corner, OnFace, PlanFlange } from "../lib/typesflange";
import { numberOf, word } from "./known";
import { bankLayout } from "./layout";
import { loopPath } from "./outline";

/** What is laid over a face: paths, holes, and by how much each is off from where it belongs. */
export interface Overlay {
	what: keyof typeof t.legend.over;
	loops: Corner[][];
	holes: { at: OnFace; r: number }[];
	misses: { at: OnFace; off: OnFace; say?: string }[];
	shadows: { port: Corner[]; opening: Corner[]; at: OnFace; say: string }[];
}

/** A letter that stands where a figure of the table is. */
export interface Spot {
	letter: string;
	place: OnFace;
}

interface FaceDrawingProps {
	job: string;
	flange: PlanFlange;
	side: Side;
	over?: Overlay | null;
	spots?: Spot[];
}

const WIDE = 760;
const EDGE = 52;
const HEAD = 58; // room for the words that say from where it is seen
const TALLEST = 480;
const LONGEST = 46; // px of the longest arrow

// <FaceDrawing job={…} flange={…} side="tubes" over={…}> draws the flange that is made over bolts and ports of the
// head, with datum and axes, from either side, and over it what is compared, each in a line style of its own; misses are
// drawn longer than they are and say by how much. Which side it is seen from stands in the drawing.
// Props: job, flange (of the plan), side, over (what is laid over it, or null), spots (letters at places).  Calls: nothing.
export function FaceDrawing({ job, flange, side, over = null, spots = [] }: FaceDrawingProps) {
	const hatch = useId();
	const design = flange.design;
	const ports = flange.ports.filter((p) => (p.loop ?? []).length > 0);
	const plates = design?.pieces.map((p) => p.loop) ?? [];
	const centres = ports.flatMap((p) => (p.at ? [{ at: p.at }] : []));
	const openings = design?.openings.map((o) => o.loop) ?? [];
	const bolts = boltsOf(job, flange);
	const around = bolts.flatMap(({ at: [x, y], hole }): OnFace[] => [
		[x - hole, y - hole],
		[x + hole, y + hole],
	]);
	const b = boxOf(
		[...plates, ...ports.map((p) => p.loop ?? []), ...(over?.loops ?? [])],
		[[0, 0], ...around],
	);
	const scale = Math.min(
		(WIDE - 2 * EDGE) / Math.max(b.x1 - b.x0, 30),
		(TALLEST - HEAD - EDGE) / Math.max(b.y1 - b.y0, 20),
		6,
	);
	const high = Math.ceil((b.y1 - b.y0) * scale) + HEAD + EDGE;
	const flip = side === "head";
	const at = ([x, y]: OnFace): OnFace => {
		const across = (x - (b.x0 + b.x1) / 2) * scale;
		return [WIDE / 2 + (flip ? -across : across), HEAD + (b.y1 - y) * scale];
	};
	const path = (loop: Corner[]) => loopPath(loop, at, flip);
	const middle = (b.y0 + b.y1) / 2;
	const times = timesLonger(over?.misses.map((m) => Math.hypot(...m.off)) ?? [], LONGEST / scale);
	const datum = word(job, `bank/${flange.bank}/datum`);
	const along = word(job, `bank/${flange.bank}/along`);
	const said = (id: string) => (id === datum ? ` ${bank.datumMark}` : "");
	// names of bolts at the edge stand outside it
	const rim = Math.max(design?.edge_least?.value ?? 0, 0);
	const nearEdge = (y: number, hole: number) => Math.min(b.y1 - y, y - b.y0) < hole / 2 + 2 * rim;
	return (
		<figure class="drawing face" data-test="face" data-side={side}>
			<svg viewBox={`0 0 ${WIDE} ${high}`} role="img" aria-label={t.side.drawing[side]}>
				<text class="face-side" x="10" y="26">
					{t.side.in[side]}
				</text>
				<FaceAxes at={at([0, 0])} flip={flip} high={high} />
				{ports.map((p) => (
					<path key={p.id} class="face-port" d={path(p.loop ?? [])} />
				))}
				{plates.map((loop) => (
					<path key={path(loop)} class="line" d={path(loop)} />
				))}
				{openings.map((loop) => (
					<path key={path(loop)} class="line" d={path(loop)} />
				))}
				{bolts.map((bolt) => (
					<path key={bolt.id} class="line" d={path(bolt.loop)} />
				))}
				{bolts
					.filter((o) => o.id === datum || o.id === along)
					.map((o) => {
						const [cx, cy] = at(o.at);
						return <circle key={o.id} class="thin" cx={cx} cy={cy} r={(o.hole / 2) * scale + 5} />;
					})}
				{design?.cuts.map((c) => (
					<path key={`${c.between}`} class="face-cut" d={`M${at(c.from).join(" ")}L${at(c.to).join(" ")}`} />
				))}
				{over && (
					<g class="face-over">
						<defs>
							<pattern
								id={hatch}
								width="5"
								height="5"
								patternUnits="userSpaceOnUse"
								patternTransform="rotate(45)"
							>
								<rect width="5" height="5" />
								<path d="M0 0V5" />
							</pattern>
						</defs>
						{over.shadows.map((s) => (
							<g key={s.say + s.at}>
								<mask
									id={`${hatch}-${s.at}`}
									maskUnits="userSpaceOnUse"
									x="0"
									y="0"
									width={WIDE}
									height={high}
								>
									<rect width={WIDE} height={high} fill="white" />
									<path class="face-left" d={path(s.opening)} />
								</mask>
								<path
									class="face-shadow"
									d={path(s.port)}
									mask={`url(#${hatch}-${s.at})`}
									style={`fill: url(#${hatch})`}
								/>
							</g>
						))}
						{over.loops.map((loop) => (
							<path key={path(loop)} d={path(loop)} />
						))}
						{over.holes.map((h) => {
							const [cx, cy] = at(h.at);
							return <circle key={`${h.at}`} cx={cx} cy={cy} r={h.r * scale} />;
						})}
					</g>
				)}
				<g class="face-names">
					{ports.map((p) => {
						const [x, y] = at(p.at ?? [0, 0]);
						// an arrow from the centre would strike the name through
						const isStruck = over?.misses.some((m) => p.at && apart(m.at, p.at) < NEAR) === true;
						return (
							<text key={p.id} x={x} y={isStruck ? y + 26 : y + 6} text-anchor="middle">
								{`P${numberOf(job, "port", p.id)}`}
							</text>
						);
					})}
					{bolts.map((o) => {
						const [x, y] = at(o.at);
						const up = o.at[1] >= middle;
						// clear of the edge, and of that of what lies over it
						const edge = up ? at([0, b.y1])[1] : at([0, b.y0])[1];
						const off = nearEdge(o.at[1], o.hole) ? Math.abs(y - edge) : (o.hole / 2) * scale;
						// beside an arrow that points to it
						const miss = over?.misses.find((m) => apart(m.at, o.at) < NEAR);
						const toward = miss ? (up ? miss.off[1] : -miss.off[1]) : 0;
						const isHit = miss !== undefined && toward > Math.abs(miss.off[0]) && toward * times * scale > 10;
						return (
							<text
								key={o.id}
								x={isHit ? x + 12 : x}
								y={up ? y - off - 7 : y + off + 21}
								text-anchor={isHit ? "start" : "middle"}
							>
								{`B${numberOf(job, "bolt", o.id)}${said(o.id)}`}
							</text>
						);
					})}
				</g>
				{over && (
					<g class="face-over">
						{over.misses.map((m) => (
							<Arrow
								key={`${m.at}`}
								from={at(m.at)}
								to={at([m.at[0] + m.off[0] * times, m.at[1] + m.off[1] * times])}
							/>
						))}
						{over.misses.map((m) => {
							if (!m.say) return null;
							// beside the hole where the arrow goes up or down, at its tip else
							const isUpright = Math.abs(m.off[1]) > Math.abs(m.off[0]);
							const [x, y] = isUpright ? at(m.at) : at([m.at[0] + m.off[0] * times, m.at[1]]);
							const right = !isUpright && m.off[0] > 0 !== flip;
							const gap = isUpright ? 16 : 8;
							return (
								<text
									key={m.say}
									x={x + (right ? gap : -gap)}
									y={y + 6}
									text-anchor={right ? "start" : "end"}
								>
									{m.say}
								</text>
							);
						})}
						{over.shadows.map((s) => {
							const [x, y] = at(s.at);
							const box = boxOf([s.port, s.opening]);
							const top = at([0, box.y1])[1] - 10;
							const right = x > at([middleOf(s.port), 0])[0];
							return (
								<g key={s.say + s.at}>
									<path class="face-lead" d={`M${x} ${y}V${top}`} />
									<text x={x + (right ? 6 : -6)} y={top - 4} text-anchor={right ? "end" : "start"}>
										{s.say}
									</text>
								</g>
							);
						})}
					</g>
				)}
				{together(spots).map(({ letters, place }) => (
					<SpotMark
						key={letters}
						at={at(place)}
						from={at(nearest(centres, place)?.at ?? [0, 0])}
						middle={at([0, middle])[1]}
						letters={letters}
					/>
				))}
			</svg>
			<figcaption class="small">
				<Legend over={over} times={times} cuts={(design?.cuts.length ?? 0) > 0} made={plates.length > 0} />
				<p class="soft">{t.side.say[side]}</p>
			</figcaption>
		</figure>
	);
}

const NEAR = 2; // mm between a place and that from which a miss is drawn; bolts are never so close

const apart = (a: OnFace, b: OnFace) => Math.hypot(a[0] - b[0], a[1] - b[1]);

const middleOf = (loop: Corner[]) => loop.reduce((sum, [x]) => sum + x, 0) / loop.length;

interface BoltHole {
	id: string;
	at: OnFace;
	hole: number;
	loop: Corner[];
}

// The holes as they are made, slots too; until there is a flange, as they were measured.
function boltsOf(job: string, flange: PlanFlange): BoltHole[] {
	const measured = () =>
		bankLayout(job, flange.bank, null).bolts.map(({ id, x, y, hole }) => {
			const [at, dir]: [OnFace, OnFace] = [
				[x, y],
				[1, 0],
			];
			return { bolt: id, at, diameter: hole, slot: 0, dir };
		});
	return (flange.design?.holes ?? measured()).map((h) => {
		const r = h.diameter / 2;
		const [ux, uy] = h.slot > 0 ? h.dir : [1, 0];
		const half = h.slot / 2;
		const corner = (along: number, across: number, bulge: number): Corner => [
			h.at[0] + ux * along - uy * across,
			h.at[1] + uy * along + ux * across,
			bulge,
		];
		return {
			id: h.bolt,
			at: h.at,
			hole: h.diameter,
			loop: [corner(half, -r, 1), corner(half, r, 0), corner(-half, r, 1), corner(-half, -r, 0)],
		};
	});
}

function FaceAxes({ at: [x, y], flip, high }: { at: OnFace; flip: boolean; high: number }) {
	const end = flip ? 14 : WIDE - 14;
	const s = flip ? 1 : -1;
	return (
		<g class="axes">
			<path d={`M${x - s * -24} ${y}H${end}m${9 * s} -4l${-9 * s} 4l${9 * s} 4`} />
			<path d={`M${x} ${Math.min(y + 24, high - 4)}V${HEAD - 18}m-4 9l4 -9l4 9`} />
			<text x={end + 2 * s} y={y - 9} text-anchor={flip ? "start" : "end"}>
				x
			</text>
			<text x={x - 16} y={HEAD - 8}>
				y
			</text>
		</g>
	);
}

function Arrow({ from, to }: { from: OnFace; to: OnFace }) {
	const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
	const long = Math.hypot(dx, dy);
	if (long < 2) return null;
	const [ux, uy] = [dx / long, dy / long];
	const tip = Math.min(9, long);
	const side = (k: number) =>
		`${to[0] - ux * tip + uy * k * tip * 0.5} ${to[1] - uy * tip - ux * k * tip * 0.5}`;
	return (
		<path
			class="face-arrow"
			d={`M${from.join(" ")}L${to.join(" ")}M${side(1)}L${to.join(" ")}L${side(-1)}`}
		/>
	);
}

// Letters of places that would lie on each other stand side by side.
function together(spots: Spot[]): { letters: string; place: OnFace }[] {
	const out: { letters: string; place: OnFace }[] = [];
	for (const s of spots) {
		const near = out.find((o) => Math.hypot(o.place[0] - s.place[0], o.place[1] - s.place[1]) < 12);
		if (near) near.letters += ` ${s.letter}`;
		else out.push({ letters: s.letter, place: s.place });
	}
	return out;
}

interface SpotMarkProps {
	at: OnFace;
	from: OnFace; // centre of the port nearest to it
	middle: number; // height of the middle of the drawing
	letters: string;
}

// The letters stand beside the place, away from its port and towards the middle.
function SpotMark({ at: [x, y], from, middle, letters }: SpotMarkProps) {
	const wide = 14 + letters.length * 8;
	const [cx, cy] = [x + (x < from[0] ? -1 : 1) * (wide / 2 + 26), y + (y > middle ? -16 : 20)];
	return (
		<g class="face-spot">
			<path d={`M${x} ${y}L${cx} ${cy}`} />
			<circle cx={x} cy={y} r="3.5" />
			<rect x={cx - wide / 2} y={cy - 12} width={wide} height="24" rx="12" />
			<text x={cx} y={cy + 6} text-anchor="middle">
				{letters}
			</text>
		</g>
	);
}

interface LegendProps {
	over: Overlay | null;
	times: number;
	cuts: boolean;
	made: boolean;
}

// What each line is, by its style, beside a piece of it.
function Legend({ over, times, cuts, made }: LegendProps) {
	const sample = (style: string, say: string, d = "M2 9H44") => (
		<li key={say}>
			<svg viewBox="0 0 46 18" width="46" height="18" aria-hidden="true" focusable="false">
				<g class={style.startsWith("face-over") ? "face-over" : ""}>
					<path class={style} d={d} />
				</g>
			</svg>
			{say}
		</li>
	);
	return (
		<ul class="face-legend">
			{made && sample("line", t.legend.plate)}
			{sample("face-port", t.legend.port)}
			{cuts && sample("face-cut", t.legend.cut)}
			{over && sample("face-over-line", t.legend.over[over.what])}
			{over &&
				over.misses.length > 0 &&
				sample("face-over face-arrow", t.legend.arrow(times), "M2 9H44M35 4L44 9L35 14")}
			{over &&
				over.shadows.length > 0 &&
				sample(
					"face-over face-hatch",
					t.legend.shadow,
					"M4 18l14 -18M14 18l14 -18M24 18l14 -18M34 18l10 -13",
				)}
		</ul>
	);
}

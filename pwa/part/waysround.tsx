import { laidAt, laidLoop, nearest } from "../lib/face";
import { length } from "../lib/say";
import { type PlanFlange, type SelfMatch, units } from "../lib/state";
import { flange } from "../lib/textflange";
import type { OnFace } from "../lib/typesflange";
import type { Overlay } from "./facedrawing";
import { FindingsOf, findingsOf } from "./findingsof";
import { Mark, type MarkKind } from "./mark";
import { Resting } from "./resting";
import { begun, shortName } from "./shortname";

interface WaysRoundProps {
	job: string;
	flange: PlanFlange;
	shown: number; // which of them lies over the drawing, -1 for none
	onShow: (which: number) => void;
}

// <WaysRound job={…} flange={…} shown={0} onShow={…}> says in which other ways the flange bolts up and what is then off,
// and lays one of them over the drawing.
// Props: job, flange (of the plan), shown, onShow.  Calls: onShow.
export function WaysRound({ job, flange: plan, shown, onShow }: WaysRoundProps) {
	const t = flange.way;
	const ways = plan.self_match ?? [];
	const found = findingsOf(job, "bank", plan.bank).filter(
		(f) => f.rule === "flange-way-round" || f.rule === "flange-hole-off",
	);
	return (
		<section class="stack" data-test="ways">
			<h2>{t.title}</h2>
			<Resting job={job} slots={plan.self_disputed} />
			{found.length > 0 && <FindingsOf job={job} list={found} />}
			{ways.length === 0 && (
				<p class="card row">
					<Mark kind={plan.design ? "agreed" : "missing"} />
					{plan.design ? t.one : t.few}
				</p>
			)}
			{ways.map((way, i) => (
				<section key={way.how} class="card stack" data-test="way">
					<p class="row">
						<Mark kind={markOf(way)} />
						<strong class="grow">{way.how}</strong>
					</p>
					<p>{wordsOf(job, way).join(" ")}</p>
					<button
						type="button"
						class={shown === i ? "picked" : ""}
						aria-pressed={shown === i}
						data-test={`way-show:${i}`}
						onClick={() => onShow(shown === i ? -1 : i)}
					>
						{shown === i ? t.hide : t.show}
					</button>
				</section>
			))}
			{ways.length > 0 && <p class="soft">{t.markSide}</p>}
		</section>
	);
}

/** PORTS_ALIKE is up to how far off, in mm, a port makes no difference; as the findings have it. */
const PORTS_ALIKE = 0.25;

/** WORTH is from how far off, in mm, a hole is worth a word. Own choice. */
const WORTH = 0.05;

const markOf = (w: SelfMatch): MarkKind =>
	w.bolts_go_in !== false && w.ports_off > PORTS_ALIKE ? "warn" : "note";

function wordsOf(job: string, way: SelfMatch): string[] {
	const u = units.value;
	const t = flange.way;
	const words = [playOf(way)];
	const far = way.ports.reduce<SelfMatch["ports"][0] | null>((a, b) => (a && a.off > b.off ? a : b), null);
	if (far && far.off > PORTS_ALIKE)
		words.push(t.ports(shortName(job, far.id), shortName(job, far.onto), length(far.off, u)));
	else if (far) words.push(t.alike);
	if (way.worst_off > WORTH) {
		const off = length(way.worst_off, u);
		const mate = way.mate === "" || way.mate === way.worst ? "" : shortName(job, way.mate);
		words.push((way.certain ? t.odd : t.farthest)(shortName(job, way.worst), mate, off));
	}
	return words.map(begun);
}

/** playOf says whether the bolts go in, as far as that is known. */
export function playOf(f: { room?: number | null; bolts_go_in?: boolean | null; minimax?: number }): string {
	const u = units.value;
	if (typeof f.room !== "number") return flange.way.goWith(length(f.minimax, u));
	return f.bolts_go_in ? flange.way.goIn(length(f.room, u)) : flange.way.goNot(length(-f.room, u));
}

/** turnedOver is the flange laid on itself another way, to be drawn over it. */
export function turnedOver(plan: PlanFlange, way: SelfMatch): Overlay {
	const bolts = plan.design?.holes ?? [];
	const ports = plan.ports.filter((p) => (p.loop ?? []).length > 0);
	const holes = bolts.map((b) => ({ at: laidAt(way, b.at), r: b.diameter / 2 }));
	const missed = (at: OnFace, onto: OnFace) => ({
		at: onto,
		off: [at[0] - onto[0], at[1] - onto[1]] as OnFace,
	});
	return {
		what: "way",
		loops: [
			...(plan.design?.pieces ?? []).map((p) => laidLoop(way, p.loop)),
			...ports.map((p) => laidLoop(way, p.loop ?? [])),
		],
		holes,
		misses: [
			...holes.flatMap((h) => {
				const onto = nearest(bolts, h.at);
				return onto ? [missed(h.at, onto.at)] : [];
			}),
			...way.ports.flatMap((l) => {
				const [own, onto] = [l.id, l.onto].map((id) => ports.find((p) => p.id === id)?.at);
				return own && onto ? [missed(laidAt(way, own), onto)] : [];
			}),
		],
		shadows: [],
	};
}

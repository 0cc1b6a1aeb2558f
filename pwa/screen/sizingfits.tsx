import { asksFor } from "../lib/fields";
import { degrees, length, offset } from "../lib/say";
import { digits, worked } from "../lib/sizing";
import { addEntity, go, listOf, type Route, units } from "../lib/state";
import { sizing } from "../lib/textsizing";
import type { PortTube, SensorRule, Slip } from "../lib/typessizing";
import { Entity } from "../part/entity";
import { Figures } from "../part/figures";
import { titleOf, word } from "../part/known";
import { Mark } from "../part/mark";
import { Removed } from "../part/removed";
import { ownerRoute } from "./measure";
import type { SizingPartProps } from "./sizing";

const t = sizing.fits;

// <SizingFits job={…} says={…}> is what fits into what: ports against tubes, slip joints, how tubes grow when hot,
// where sensors sit.
// Props: job, says.  Calls: addEntity, go.
export function SizingFits({ job, says }: SizingPartProps) {
	const u = units.value;
	return (
		<>
			<section class="card stack" data-test="ports">
				<h2>{t.ports}</h2>
				{says?.ports.length === 0 && (
					<>
						<p class="soft">{t.portsNone}</p>
						<div class="row wrap">
							<Way to={ownerRoute(job, `port/${listOf(job, "port")[0]?.id ?? ""}/width`)} says={t.toPorts} />
							<Way to={{ screen: "sizing", job, id: "rules" }} says={t.toDecision} />
						</div>
					</>
				)}
				{says?.ports.map((p) => (
					<PortCard key={`${p.port} ${p.tube}`} job={job} port={p} />
				))}
			</section>
			<section class="card stack" data-test="slips">
				<h2>{t.slips}</h2>
				{says?.slips.length === 0 && <p class="soft">{t.slipsNone}</p>}
				{says?.slips.map((s) => (
					<SlipCard key={`${s.id} ${s.what}`} slip={s} />
				))}
				<Listed job={job} kind="slip" add={t.addSlip} />
			</section>
			<section class="card stack" data-test="growth">
				<h2>{t.growth}</h2>
				{says?.growth.length === 0 && (
					<>
						<p class="soft">{t.growthNone}</p>
						<div class="row wrap">
							<Way to={{ screen: "tubes", job }} says={t.toTubes} />
						</div>
					</>
				)}
				{says?.growth.map((g) => (
					<Figures
						key={g.what}
						title={`${g.what}: ${t.grown(length(g.length, u), g.material, digits(g.hot))}`}
						head={t.growHead}
					>
						{g.by.map((b) => (
							<tr key={b.source.text}>
								<th scope="row" class="said">
									{b.source.text} ({b.source.grade}){b.beyond && `, ${t.beyond}`}
								</th>
								<td class="num">{digits(b.alpha)}</td>
								<td class="num">{length(b.by, u)}</td>
							</tr>
						))}
					</Figures>
				))}
			</section>
			<section class="card stack" data-test="sensors">
				<h2>{t.sensors}</h2>
				{says?.sensors.length === 0 && <p class="soft">{t.sensorsNone}</p>}
				{says?.sensors.map((s) => (
					<div key={s.id} class="stack" data-test={`sensor:${s.id}`}>
						<h3>{s.what}</h3>
						{s.rules.map((r) => (
							<SensorLine key={r.rule} rule={r} />
						))}
					</div>
				))}
				<Listed job={job} kind="sensor" add={t.addSensor} />
			</section>
		</>
	);
}

function Way({ to, says }: { to: Route; says: string }) {
	return (
		<button type="button" data-test={`to-${to.screen}`} onClick={() => go(to)}>
			{says} ▸
		</button>
	);
}

function PortCard({ job, port: p }: { job: string; port: PortTube }) {
	const u = units.value;
	const percent = (v: number) => `${v > 0 ? "+" : v < 0 ? "−" : ""}${Math.abs(v).toFixed(1)} %`;
	const title = [titleOf(job, "port", p.port), p.tube === "" ? "" : titleOf(job, "tube", p.tube)]
		.filter((s) => s !== "")
		.join(" · ");
	return (
		<div class="stack" data-test={`port-fit:${p.port}`}>
			<Figures title={title} head={t.portHead}>
				<tr>
					<th scope="row">{t.portRow.port}</th>
					<td class="num">{length(p.perimeter, u)}</td>
					<td class="num">{worked(p.area, "mm²", u)}</td>
				</tr>
				<tr>
					<th scope="row">{t.portRow.tube}</th>
					<td class="num">{length(p.tube_perimeter, u)}</td>
					<td class="num">{worked(p.tube_area, "mm²", u)}</td>
				</tr>
				<tr>
					<th scope="row">{t.portRow.off}</th>
					<td class="num">
						{percent(p.perimeter_percent)}
						<span class="soft small laid-beside">{t.larger(offset(p.by_perimeter, u))}</span>
					</td>
					<td class="num">
						{percent(p.area_percent)}
						<span class="soft small laid-beside">{t.larger(offset(p.by_area, u))}</span>
					</td>
				</tr>
			</Figures>
			<p>{p.stretch >= 0 ? t.stretch(percent(p.stretch)) : t.shrink(percent(p.stretch))}</p>
			<p class="soft small">
				{p.source.text} ({p.source.grade})
			</p>
			{p.disagree && (
				<>
					<p class="row">
						<Mark kind="warn" />
						{t.disagree}
					</p>
					<Figures title="" head={t.choiceHead}>
						{p.choices.map((c) => (
							<tr key={c.text}>
								<th scope="row" class="said">
									{c.text}
								</th>
								<td class="num">{length(c.id, u)}</td>
								<td class="num">{percent(c.stretch)}</td>
								<td class="num">{percent(c.area_percent)}</td>
							</tr>
						))}
					</Figures>
				</>
			)}
		</div>
	);
}

function SlipCard({ slip: s }: { slip: Slip }) {
	const u = units.value;
	return (
		<div class="stack" data-test={`slip-fit:${s.id}`}>
			<Figures title="" head={t.slipHead}>
				<tr>
					<th scope="row">{s.what}</th>
					<td class="num">{length(s.outer_id, u)}</td>
					<td class="num">{length(s.inner_od, u)}</td>
					<td class="num">{offset(s.gap, u)}</td>
				</tr>
			</Figures>
			<p class="row">
				<Mark kind={!s.goes ? "stop" : s.in.length > 0 ? "agreed" : "warn"} />
				{s.goes ? t.goes : t.goesNot}
				{s.hot_least !== null &&
					s.hot_most !== null &&
					`, ${t.hot(offset(s.hot_least, u), offset(s.hot_most, u))}`}
			</p>
			{s.goes && s.in.length === 0 && <p>{t.bandNone}</p>}
			<ul class="stack bands">
				{[...s.in, ...s.not_in].map((b) => (
					<li key={b.name}>
						<span class={s.in.includes(b) ? "" : "soft"}>
							{t.band(b.name, length(b.low, u), length(b.high, u))},{" "}
							{s.in.includes(b) ? t.bandIn : t.bandNotIn}
						</span>
						<span class="soft small laid-beside">
							{b.source.text} ({b.source.grade})
						</span>
					</li>
				))}
			</ul>
		</div>
	);
}

function SensorLine({ rule: r }: { rule: SensorRule }) {
	const u = units.value;
	const say = (v: number) => (r.unit === "°" ? degrees(v) : worked(v, r.unit, u));
	const [low, high] = [say(r.low), r.high === null ? "" : say(r.high)];
	const wanted = r.low === 0 && r.high === null ? t.wantedAny : t.wanted(low, high);
	return (
		<div class="row">
			<Mark kind={r.open ? "missing" : r.ok ? "agreed" : "warn"} />
			<div class="grow">
				<p>
					<strong>{r.open ? t.open : r.ok ? t.ok : t.broken}</strong> {r.text}
				</p>
				<p class="soft small">
					{r.value === null ? wanted : t.is(say(r.value), wanted)} · {r.source.text} ({r.source.grade})
				</p>
			</div>
		</div>
	);
}

// The entries of a list with their fields, and what adds one: it begins with what it cannot do without.
function Listed({ job, kind, add }: { job: string; kind: string; add: string }) {
	const list = listOf(job, kind);
	const begin = async () => {
		const id = await addEntity(job, kind, "", {}).catch(() => "");
		const first = asksFor(kind, id, (s) => word(job, s)).find((a) => a.field.required);
		if (id !== "" && first) go({ screen: "measure", job, slot: first.slot });
	};
	return (
		<>
			<ol class="stack">
				{list.map((e) => (
					<Entity key={e.id} job={job} kind={kind} id={e.id} />
				))}
			</ol>
			<Removed job={job} kind={kind} parent="" />
			<button type="button" data-test={`add-${kind}`} onClick={() => void begin()}>
				{add}
			</button>
		</>
	);
}

import { useState } from "preact/hooks";
import type { Side } from "../lib/face";
import { asksFor } from "../lib/fields";
import { figure } from "../lib/say";
import { addEntity, go, listOf, type PlanFlange, units, view } from "../lib/state";
import { bank as bankWords } from "../lib/textbank";
import { flange as t } from "../lib/textflange";
import { measure } from "../lib/textmeasure";
import { Caution } from "../part/caution";
import { FaceDrawing } from "../part/facedrawing";
import { Figures } from "../part/figures";
import { FindingsOf } from "../part/findingsof";
import { FitOffer } from "../part/fitoffer";
import { titleOf, word } from "../part/known";
import { Design, Making, spotsOf } from "../part/making";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { patternMark, verdictOf } from "../part/patternfit";
import { Removed } from "../part/removed";
import { Resting } from "../part/resting";
import { SideSwitch } from "../part/sideswitch";
import { areaFigure, areaUnit, TubeEnds } from "../part/tubeends";
import { ViewSwitch } from "../part/viewswitch";
import { turnedOver, WaysRound } from "../part/waysround";

interface FlangeProps {
	job: string;
	id: string;
}

// <Flange job={…} id="A"> is the flange of a bank: its drawing from either side, which way round it goes on, how it
// is made and what that makes, its ports, the ends of its tubes, and what it is compared with.
// Props: job, id (of the bank).  Calls: addEntity, go.
export function Flange({ job, id }: FlangeProps) {
	const [side, setSide] = useState<Side>("tubes");
	const [shown, setShown] = useState(-1);
	const v = view.value?.job === job ? view.value : null;
	const plan = v?.plan.flanges?.find((f) => f.bank === id);
	const way = plan?.self_match?.[shown];
	const others = listOf(job, "bank").filter((b) => b.id !== id);
	const found = (v?.plan.findings ?? []).filter((f) => OWN.includes(f.rule) && f.where?.includes(id));
	return (
		<Page title={t.title(bankWords.title(id))} back={{ screen: "job", job }} extra={<ViewSwitch />}>
			<div class={v?.stale ? "stale" : ""}>
				<div class="stack">
					{others.length > 0 && (
						<nav class="row wrap">
							{others.map((b) => (
								<button key={b.id} type="button" onClick={() => go({ screen: "flange", job, id: b.id })}>
									{t.other(bankWords.title(b.id))}
								</button>
							))}
						</nav>
					)}
					{!plan && (
						<section class="card stack">
							<p class="row" data-test="no-flange">
								<Mark kind="missing" />
								{t.notYet}
							</p>
							<button type="button" class="primary" onClick={() => go({ screen: "bank", job, id })}>
								{t.measure}
							</button>
						</section>
					)}
					{plan && (
						<>
							<section class="card stack">
								<div class="row wrap">
									<SideSwitch side={side} onSide={setSide} />
									<span class="grow" />
									<button type="button" data-test="to-sheets" onClick={() => go({ screen: "sheets", job })}>
										{t.sheets}
									</button>
									<button type="button" data-test="to-bank" onClick={() => go({ screen: "bank", job, id })}>
										{t.bank}
									</button>
								</div>
								<FaceDrawing
									job={job}
									flange={plan}
									side={side}
									over={way ? turnedOver(plan, way) : null}
									spots={way || !plan.design ? [] : spotsOf(plan.design)}
								/>
								{!plan.design && (
									<p class="row" data-test="no-design">
										<Mark kind="missing" />
										{t.notYet}
									</p>
								)}
							</section>
							<div class="columns">
								<WaysRound job={job} flange={plan} shown={shown} onShow={setShown} />
								<Patterns job={job} bank={id} flange={plan} />
							</div>
							{found.length > 0 && <FindingsOf job={job} list={found} />}
							{plan.design && <Design job={job} design={plan.design} />}
						</>
					)}
					<Making job={job} bank={id} />
					{plan && plan.ports.length > 0 && <Ports job={job} flange={plan} />}
					{plan && <TubeEnds job={job} ends={plan.ends ?? []} />}
					<Caution>
						<p>{t.caution}</p>
					</Caution>
				</div>
			</div>
		</Page>
	);
}

const OWN = ["flange-edge", "flange-web", "flange-washer", "flange-socket", "flange-pieces-meet"];

// What the flange is compared with, each with a page of its own.
function Patterns({ job, bank, flange }: { job: string; bank: string; flange: PlanFlange }) {
	const list = listOf(job, "pattern", bank);
	const add = async () => {
		const id = await addEntity(job, "pattern", bank, {}).catch(() => "");
		const first = asksFor("pattern", id, () => "").find((a) => a.field.required);
		if (id !== "" && first) go({ screen: "measure", job, slot: first.slot });
	};
	return (
		<section class="stack" data-test="patterns">
			<h2>{t.patterns.title}</h2>
			<p class="soft">{list.length === 0 ? t.patterns.none : t.patterns.why}</p>
			<ul class="stack">
				{list.map(({ id }) => {
					const plan = flange.patterns?.find((p) => p.id === id);
					return (
						<li key={id}>
							<button
								type="button"
								class="card step"
								data-test={`pattern:${id}`}
								onClick={() => go({ screen: "item", job, slot: `pattern/${id}` })}
							>
								<Mark kind={plan ? patternMark(job, plan) : "missing"} />
								<span class="grow">
									<strong>{titleOf(job, "pattern", id)}</strong>
									<span class="named-more soft small">
										{plan ? verdictOf(job, plan) : t.patterns.notLaid}
									</span>
								</span>
								<span class="act">▸</span>
							</button>
						</li>
					);
				})}
			</ul>
			<Removed job={job} kind="pattern" parent={bank} />
			<div class="row wrap">
				<button type="button" class="grow" data-test="add-pattern" onClick={add}>
					{t.patterns.add}
				</button>
				<button
					type="button"
					class="grow"
					data-test="read-dxf"
					onClick={() => go({ screen: "drawing", job, id: bank })}
				>
					{t.patterns.readDXF}
				</button>
			</div>
		</section>
	);
}

// The ports in figures, with the way to their points where they were measured so.
function Ports({ job, flange }: { job: string; flange: PlanFlange }) {
	const u = units.value;
	const h = t.ports.head;
	return (
		<section class="card stack" data-test="ports">
			<Resting job={job} slots={[...new Set(flange.ports.flatMap((p) => p.disputed))]} />
			<Figures
				title={t.ports.title}
				head={[
					h.port,
					`${h.area}, ${areaUnit()}`,
					`${h.perimeter}, ${u}`,
					`${h.dh}, ${u}`,
					`${h.round}, ${u}`,
				]}
				foot={t.ports.hint}
			>
				{flange.ports.map((p) => (
					<tr key={p.id} data-test={`port:${p.id}`}>
						<th scope="row">
							{titleOf(job, "port", p.id)}
							<span class="named-more">{measure.words[p.shape ?? ""] ?? p.shape}</span>
						</th>
						<td class="num">{areaFigure(p.area)}</td>
						<td class="num">{figure(p.perimeter, u)}</td>
						<td class="num">{figure(p.hydraulic_diameter, u)}</td>
						<td class="num">{figure(p.equal_perimeter, u)}</td>
					</tr>
				))}
			</Figures>
			{flange.ports
				.filter((p) => listOf(job, "rim", p.id).length > 0 || word(job, `port/${p.id}/shape`) === "points")
				.map((p) => (
					<div key={p.id} class="stack">
						<button
							type="button"
							data-test={`rim:${p.id}`}
							onClick={() => go({ screen: "rim", job, slot: `port/${p.id}`, id: "look" })}
						>
							{`${titleOf(job, "port", p.id)}: ${t.ports.go(listOf(job, "rim", p.id).length)} ▸`}
						</button>
						<FitOffer job={job} port={p.id} />
					</div>
				))}
		</section>
	);
}

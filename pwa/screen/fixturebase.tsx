import { useState } from "preact/hooks";
import { asksFor } from "../lib/fields";
import { odOf, type Pipe, pipeReading, pipes } from "../lib/fixture";
import { length, notSaved } from "../lib/say";
import { go, keepTogether, readingsOf, takeOut, units, view } from "../lib/state";
import { fixture } from "../lib/textfixture";
import type { FixtureBase as Base } from "../lib/typesfixture";
import { BaseDrawing } from "../part/basedrawing";
import { FieldCell } from "../part/fieldcell";
import { word } from "../part/known";
import { Mark } from "../part/mark";
import { offerUndo } from "../part/undo";
import type { FixturePartProps } from "./fixture";

const t = fixture.base;
const BASE = "fixture/self/base";
const MOCK_UP = "fixture/self/mock_up_od";
const ASIDE = ["base", "mock_up_od", "mock_up_conducts"]; // asked above

// <FixtureBase job={…} plan={…}> is what the fixture stands on: standing or lying, each drawn, the plate that comes of
// it; the mock-up by a pipe's OD; clamps, posts and the torch's room.
// Props: job, plan.  Calls: keepTogether (base, mock-up), takeOut.
export function FixtureBase({ job, plan }: FixturePartProps) {
	const w = (s: string) => word(job, s);
	const asks = asksFor("fixture", "self", w).filter((a) => !ASIDE.includes(a.field.name));
	const [fault, setFault] = useState("");
	const base = w(BASE) || plan?.base?.choice || "";
	const pick = (choice: string) => {
		setFault("");
		keepTogether(job, { [BASE]: choice }).then(
			(undo) => offerUndo(t.choices[choice] ?? choice, undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	return (
		<>
			<section class="card stack" data-test="fixture-stands">
				<h2>{t.title}</h2>
				<p class="soft">{t.why}</p>
				<fieldset class="bases">
					<legend class="aside">{t.title}</legend>
					{(["standing", "lying"] as const).map((choice) => (
						<button
							key={choice}
							type="button"
							class={choice === base ? "base-choice picked" : "base-choice"}
							aria-pressed={choice === base}
							data-test={`base:${choice}`}
							onClick={() => pick(choice)}
						>
							<BaseDrawing choice={choice} says={t.pictures[choice] ?? ""} />
							<span class="row">
								<Mark kind={choice === base ? "chosen" : "missing"} />
								<strong>{t.choices[choice]}</strong>
							</span>
							<span class="soft small">{t.says[choice]}</span>
						</button>
					))}
				</fieldset>
				{plan?.base && <Plate base={plan.base} />}
				<Fault says={fault} />
			</section>
			<MockUp job={job} />
			<section class="card stack" data-test="fixture-clamps">
				<h2>{t.clamps}</h2>
				<p class="soft">{t.clampsWhy}</p>
				<div class="cells">
					{asks.map((a) => (
						<FieldCell key={a.slot} job={job} ask={a} />
					))}
				</div>
			</section>
		</>
	);
}

function Plate({ base: b }: { base: Base }) {
	const span = (axis: 0 | 1) => {
		const list = b.outline.map((p) => p[axis]);
		return length(Math.max(...list) - Math.min(...list), units.value);
	};
	return (
		<p data-test="plate">
			{t.plate(span(0), span(1), length(b.thickness, units.value))}, {t.holes(b.holes.length)}
		</p>
	);
}

// The OD of the mock-up: a pipe by its size, or any other.
function MockUp({ job }: { job: string }) {
	const [fault, setFault] = useState("");
	const u = units.value;
	const head = readingsOf(job, MOCK_UP).find((r) => r.standing === "head");
	const od = head?.nm === undefined ? null : head.nm / 1e6;
	const tube = (view.value?.plan.tubes ?? []).find((p) => typeof p.od === "number")?.od ?? null;
	const is = (p: Pipe) => od !== null && Math.abs(odOf(p) - od) < 0.01;
	const keep = (act: Promise<() => Promise<void>>, says: string) => {
		setFault("");
		act.then(
			(undo) => offerUndo(says, undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	const m = fixture.mockUp;
	return (
		<section class="card stack" data-test="mock-up">
			<h2>{m.title}</h2>
			<p class="soft">{m.why}</p>
			<fieldset class="pipes">
				<legend class="aside">{m.title}</legend>
				<button
					type="button"
					class={od === null ? "pipe picked" : "pipe"}
					aria-pressed={od === null}
					data-test="pipe:none"
					onClick={() => od !== null && keep(takeOut(job, [MOCK_UP]), m.gone)}
				>
					<strong>{m.none}</strong>
				</button>
				{pipes
					.filter((p) => tube === null || odOf(p) <= tube || is(p))
					.map((p) => (
						<button
							key={p.nps}
							type="button"
							class={is(p) ? "pipe picked" : "pipe"}
							aria-pressed={is(p)}
							data-test={`pipe:${p.nps}`}
							onClick={() =>
								keep(keepTogether(job, { [MOCK_UP]: pipeReading(p) }), m.taken(length(odOf(p), u)))
							}
						>
							<strong>{m.nps(p.nps)}</strong>
							<span>{length(odOf(p), u)}</span>
							{tube !== null && (
								<span class="soft small">
									{odOf(p) <= tube ? m.spacer(length((tube - odOf(p)) / 2, u)) : m.thicker}
								</span>
							)}
						</button>
					))}
				<button
					type="button"
					class={od !== null && !pipes.some(is) ? "pipe picked" : "pipe"}
					data-test="pipe:other"
					onClick={() => go({ screen: "measure", job, slot: MOCK_UP })}
				>
					<strong>{m.other}</strong>
					{od !== null && !pipes.some(is) && <span>{length(od, u)}</span>}
					{od !== null && tube !== null && !pipes.some(is) && od <= tube && (
						<span class="soft small">{m.spacer(length((tube - od) / 2, u))}</span>
					)}
				</button>
			</fieldset>
			<div class="cells">
				{asksFor("fixture", "self", (s) => word(job, s))
					.filter((a) => a.field.name === "mock_up_conducts")
					.map((a) => (
						<FieldCell key={a.slot} job={job} ask={a} />
					))}
			</div>
			<Fault says={fault} />
		</section>
	);
}

function Fault({ says }: { says: string }) {
	if (says === "") return null;
	return (
		<p class="fault" role="alert">
			{says}
		</p>
	);
}

import type { ComponentChildren } from "preact";
import { length } from "../lib/say";
import { go, units } from "../lib/state";
import { text } from "../lib/text";
import { weld } from "../lib/textweld";
import { cfh, range } from "../lib/weld";
import { Figures } from "../part/figures";
import { nameOf } from "../part/known";
import { Mark } from "../part/mark";
import type { WeldPartProps } from "./weld";

const t = weld.joint;

// <WeldJoint job={…} plan={…} id="t2/3-4"> is the page of one joint: what every source says to its amps, tungsten,
// filler and argon, the room for the torch, and how far it is.
// Props: job, plan, id.  Calls: go.
export function WeldJoint({ job, plan, id }: WeldPartProps & { id: string }) {
	const u = units.value;
	const at = plan?.joints.findIndex((j) => j.id === id) ?? -1;
	const j = plan?.joints[at];
	if (!plan || !j) return plan ? <p class="fault">{text.none}</p> : null;
	const to = (n: number) => {
		const other = plan.joints[n];
		return other ? () => go({ screen: "weld", job, id: "order", slot: other.id }) : undefined;
	};
	const inches = (list: string[]) => (list.length > 0 ? `${list.join(" / ")} in` : text.none);
	const wanted = length(plan.torch.room, u);
	return (
		<>
			<section class="card stack">
				<h2 data-test="joint-name">{j.name}</h2>
				<p class="soft">{t.order(j.order, plan.joints.length)}</p>
				<dl class="joint-facts">
					<Fact name={t.materials}>{j.materials.map((m) => m || t.open).join(" – ")}</Fact>
					<Fact name={t.wall}>{length(j.wall, u)}</Fact>
					<Fact name={t.stage}>
						{j.welded ? weld.order.welded : j.tacked ? weld.order.tacked : t.noStage}
					</Fact>
					<Fact name={t.room}>
						{j.room ? t.roomTo(length(j.room.gap, u), nameOf(job, j.room.to)) : t.roomFree(wanted)}
					</Fact>
				</dl>
				{j.bench && (
					<p class="row" data-test="joint-bench">
						<Mark kind="warn" />
						{t.bench(wanted)}
					</p>
				)}
				{j.kind === "slip" && <p>{t.slip}</p>}
			</section>
			{j.amps && (
				<section class="card stack">
					<dl class="joint-facts large">
						<Fact name={t.tungsten}>{inches(j.tungsten)}</Fact>
						<Fact name={t.filler}>
							{j.filler.length > 0 ? j.filler.map((f) => f.class).join(" / ") : t.noFiller}
						</Fact>
						<Fact name={t.rod}>{inches(j.rod)}</Fact>
						<Fact name={t.argon}>
							{j.argon
								? `${range(j.argon[0], j.argon[1], 1)} L/min (${cfh(j.argon[0])}–${cfh(j.argon[1])} cfh)`
								: text.none}
						</Fact>
					</dl>
					<Figures title={t.amps} head={t.ampsHead} test="amps" foot={t.ampsWhy}>
						{j.amps.says.map((s) => (
							<tr key={s.name}>
								<th scope="row" class="said">
									{s.name}
								</th>
								<td class="num">
									<strong>{range(s.low, s.high, 1)}</strong>
								</td>
							</tr>
						))}
					</Figures>
					<details class="weld-more" data-test="joint-sources">
						<summary data-test="joint-more">{t.sources}</summary>
						<ul class="plain-list small">
							{j.amps.says.map((s) => (
								<li key={s.name}>
									{s.name}: {weld.grade(s.source.text, s.source.grade)}
								</li>
							))}
							{j.filler.map((f) => (
								<li key={f.class}>
									{f.class}: {weld.grade(f.source.text, f.source.grade)}
								</li>
							))}
							<li>
								{t.room}: {weld.grade(plan.torch.source.text, plan.torch.source.grade)}
							</li>
						</ul>
					</details>
				</section>
			)}
			<div class="row">
				<button type="button" class="grow" data-test="joint-before" disabled={at === 0} onClick={to(at - 1)}>
					◂ {t.before}
				</button>
				<button
					type="button"
					class="grow"
					data-test="joint-next"
					disabled={at === plan.joints.length - 1}
					onClick={to(at + 1)}
				>
					{t.next} ▸
				</button>
			</div>
		</>
	);
}

function Fact({ name, children }: { name: string; children: ComponentChildren }) {
	return (
		<div>
			<dt class="cell-label">{name}</dt>
			<dd>{children}</dd>
		</div>
	);
}

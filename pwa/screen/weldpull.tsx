import { asksFor } from "../lib/fields";
import { length } from "../lib/say";
import { units } from "../lib/state";
import { text } from "../lib/text";
import { weld } from "../lib/textweld";
import { FieldCell } from "../part/fieldcell";
import { Figures } from "../part/figures";
import { word } from "../part/known";
import { Mark } from "../part/mark";
import type { WeldPartProps } from "./weld";

const t = weld.pull;

// <WeldPull job={…} plan={…}> says what a port weld that pulls does at the far end of each tube.
// Props: job, plan.  Calls: nothing.
export function WeldPull({ job, plan }: WeldPartProps) {
	const u = units.value;
	const asks = asksFor("weld", "self", (s) => word(job, s)).filter((a) => a.field.name === "port_pull");
	return (
		<section class="card stack">
			<p>{t.why}</p>
			<div class="cells">
				{asks.map((a) => (
					<FieldCell key={a.slot} job={job} ask={a} />
				))}
			</div>
			{plan && plan.pull.length > 0 && (
				<>
					<p class="soft">{t.by(length(plan.port_pull, u))}</p>
					<Figures title="" head={t.head} test="pull" foot={t.left}>
						{plan.pull.map((p) => (
							<tr key={p.tube} data-test={`pull:${p.tube}`}>
								<th scope="row">
									<span class="row">
										<Mark kind={p.goes === null ? "note" : p.goes ? "agreed" : "warn"} />
										<span>
											{p.name}
											<span class="soft small"> {p.goes === null ? t.noSlip : p.goes ? t.goes : t.jams}</span>
										</span>
									</span>
								</th>
								<td class="num">{p.tilt.toFixed(2)}°</td>
								<td class="num">{length(p.lever, u)}</td>
								<td class="num">{length(p.socket_move, u)}</td>
								<td class="num">
									<strong>{length(p.sideways, u)}</strong>
								</td>
								<td class="num">{p.slip_clearance === null ? text.none : length(p.slip_clearance / 2, u)}</td>
							</tr>
						))}
					</Figures>
				</>
			)}
		</section>
	);
}

import { degrees, figure } from "../lib/say";
import { go, units, view } from "../lib/state";
import { around } from "../lib/textaround";
import { Figures } from "./figures";
import { titleOf } from "./known";

// <CollectorFit job={…} id="c1"> lists the sockets of a collector with the tube in each and how that meets it.
// Props: job, id.  Calls: go (to a tube).
export function CollectorFit({ job, id }: { job: string; id: string }) {
	const u = units.value;
	const plan = view.value?.plan;
	const sockets = plan?.collectors?.find((c) => c.id === id)?.sockets ?? [];
	if (sockets.length === 0) return null;
	const t = around.collector;
	return (
		<section class="card" data-test="sockets">
			<Figures
				title={t.title}
				head={[t.socket, t.tube, `${t.offset}, ${u}`, `${t.aim}, °`, `${t.insert}, ${u}`]}
				foot={t.hint}
			>
				{sockets.map((s) => {
					const tube = s.tube ?? "";
					const fit = plan?.tubes?.find((p) => p.id === tube)?.socket;
					return (
						<tr key={s.n} data-test="socket-row">
							<th scope="row">{s.n}</th>
							<td class="num">
								{tube === "" ? (
									<span class="soft">{t.free}</span>
								) : (
									<button type="button" class="plain" onClick={() => go({ screen: "tube", job, id: tube })}>
										{titleOf(job, "tube", tube)}
									</button>
								)}
							</td>
							<td class="num">{figure(fit?.offset, u)}</td>
							<td class="num">{degrees(fit?.aim_off).replace("°", "")}</td>
							<td class="num">{figure(fit?.insert, u)}</td>
						</tr>
					);
				})}
			</Figures>
		</section>
	);
}

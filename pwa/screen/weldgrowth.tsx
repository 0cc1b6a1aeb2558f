import { length } from "../lib/say";
import { units } from "../lib/state";
import { text } from "../lib/text";
import { weld } from "../lib/textweld";
import { Figures } from "../part/figures";
import { nameOf } from "../part/known";
import { Mark } from "../part/mark";
import type { WeldPartProps } from "./weld";

const t = weld.growth;

// <WeldGrowth job={…} plan={…}> says how much the tubes grow, how differently those side by side, and whether slips
// are deep enough for it.
// Props: job, plan.  Calls: nothing.
export function WeldGrowth({ job, plan }: WeldPartProps) {
	if (!plan) return null;
	const u = units.value;
	const hot = plan.growth[0]?.hot;
	return (
		<>
			<section class="card stack">
				{hot !== undefined && (
					<Figures title={t.hot(hot)} head={t.head} test="growth" foot={t.why}>
						{plan.growth.map((g) => {
							const by = g.by.map((b) => b.by);
							return (
								<tr key={g.tube}>
									<th scope="row">{g.what}</th>
									<td class="num">{by.length > 0 ? length(Math.min(...by), u) : text.none}</td>
									<td class="num">{by.length > 0 ? length(Math.max(...by), u) : t.unknown}</td>
								</tr>
							);
						})}
					</Figures>
				)}
			</section>
			{plan.between.length > 0 && (
				<section class="card">
					<Figures
						title={t.between}
						head={t.betweenHead}
						test="between"
						foot={t.betweenFoot(plan.between[0]?.by ?? 0)}
					>
						{plan.between.map((b) => (
							<tr key={`${b.a} ${b.b}`}>
								<th scope="row">
									{nameOf(job, b.a)} – {nameOf(job, b.b)}
								</th>
								<td class="num">{length(b.difference, u)}</td>
								<td class="num">{length(b.hotter, u)}</td>
							</tr>
						))}
					</Figures>
				</section>
			)}
			{plan.slips.length > 0 && (
				<section class="card">
					<Figures title={t.slips} head={t.slipsHead} test="slips">
						{plan.slips.map((s) => (
							<tr key={s.tube}>
								<th scope="row">
									<span class="row">
										<Mark kind={s.enough ? "agreed" : "warn"} />
										<span>
											{nameOf(job, s.tube)}
											<span class="soft small"> {s.enough ? t.enough : t.short}</span>
										</span>
									</span>
								</th>
								<td class="num">{length(s.depth, u)}</td>
								<td class="num">{length(s.growth, u)}</td>
								<td class="num">{length(s.tolerance, u)}</td>
								<td class="num">
									<strong>{length(s.left, u)}</strong>
								</td>
							</tr>
						))}
					</Figures>
				</section>
			)}
		</>
	);
}

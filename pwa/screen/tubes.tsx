import { between } from "../lib/order";
import { length, offset } from "../lib/say";
import { addEntity, go, listOf, units, view } from "../lib/state";
import { tubes as tubesWords } from "../lib/texttube";
import { titleOf, word } from "../part/known";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { ViewSwitch } from "../part/viewswitch";

// <Tubes job={…}> lists the tubes with their lengths against the target and adds new ones.
// Props: job.  Calls: addEntity, go.
export function Tubes({ job }: { job: string }) {
	const tubes = listOf(job, "tube");
	const ports = listOf(job, "port");
	const taken = new Set(tubes.map((t) => word(job, `tube/${t.id}/port`)));
	const free = ports.find((p) => !taken.has(p.id)) ?? ports[0];
	const add = async () => {
		if (!free) return;
		// all tubes are one list, whichever port they start at
		const order = between(tubes.at(-1)?.order ?? "", "");
		const id = await addEntity(job, "tube", free.id, { order }).catch(() => "");
		if (id !== "") go({ screen: "tube", job, id });
	};
	return (
		<Page
			title={tubesWords.title}
			back={{ screen: "job", job }}
			extra={<ViewSwitch />}
			foot={
				<button type="button" class="primary wide" data-test="add-tube" disabled={!free} onClick={add}>
					{tubesWords.add}
				</button>
			}
		>
			{!free && <p class="soft">{tubesWords.needsPort}</p>}
			{tubes.length === 0 && <p class="soft">{tubesWords.empty}</p>}
			<ul class="stack">
				{tubes.map((t) => (
					<TubeRow key={t.id} job={job} id={t.id} />
				))}
			</ul>
		</Page>
	);
}

function TubeRow({ job, id }: { job: string; id: string }) {
	const plan = view.value?.plan.tubes?.find((t) => t.id === id);
	const port = word(job, `tube/${id}/port`);
	const u = units.value;
	const off = plan?.deviation;
	const isGood =
		typeof off === "number" && typeof plan?.tolerance === "number" && Math.abs(off) <= plan.tolerance;
	return (
		<li>
			<button
				type="button"
				class="card tube-row"
				data-test={`tube:${id}`}
				onClick={() => go({ screen: "tube", job, id })}
			>
				<span class="grow">
					<strong>{titleOf(job, "tube", id)}</strong>
					<span class="soft"> {port === "" ? "" : titleOf(job, "port", port)}</span>
				</span>
				{(plan?.disputed.length ?? 0) > 0 && <Mark kind="disputed" />}
				<span class="tube-length" data-test={`tube-length:${id}`}>
					{typeof plan?.length === "number" ? length(plan.length, u) : tubesWords.noLength}
				</span>
				{typeof off === "number" && (
					<span class="row tube-off">
						<Mark kind={isGood ? "agreed" : "warn"} />
						{offset(off, u)}
					</span>
				)}
				<span class="act">▸</span>
			</button>
		</li>
	);
}

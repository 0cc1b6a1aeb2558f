import { jobField } from "../lib/fields";

interface StagesProps {
	stage: string;
}

/** stages are the nine steps of a job, in order. */
export const stages = jobField("stage")?.words ?? [];

// <Stages stage="layout"> shows the nine steps as a row of marks: done, the current one large, to come.
// Props: stage.  Calls: nothing.
export function Stages({ stage }: StagesProps) {
	const at = stages.indexOf(stage);
	return (
		<ol class="stages" aria-label={stage}>
			{stages.map((s, i) => (
				<li key={s} class={i < at ? "done" : i === at ? "here" : "ahead"}>
					{i === at ? s : <span class="aside">{s}</span>}
				</li>
			))}
		</ol>
	);
}

import { bringBack, removedOf } from "../lib/state";
import { bank } from "../lib/textbank";
import { titleAs, word } from "./known";

interface RemovedProps {
	job: string;
	kind: string;
	parent: string;
}

// <Removed job={…} kind="bolt" parent="A"> lists at the foot of a list what was taken out of it, each with
// the way back: nothing that was measured is ever gone.
// Props: job, kind, parent.  Calls: bringBack.
export function Removed({ job, kind, parent }: RemovedProps) {
	const ids = removedOf(job, kind, parent);
	if (ids.length === 0) return null;
	return (
		<details class="removed">
			<summary>{bank.removedCount(ids.length)}</summary>
			<ul class="stack">
				{ids.map((id) => (
					<li key={id} class="row">
						<span class="grow">{titleAs(job, kind, id, Number(word(job, `${kind}/${id}/number`)) || 0)}</span>
						<button
							type="button"
							data-test={`bring-back:${id}`}
							// a storage that fails has its own red bar, and the entry stays in this list
							onClick={() => bringBack(job, kind, id).catch(() => {})}
						>
							{bank.bringBack}
						</button>
					</li>
				))}
			</ul>
		</details>
	);
}

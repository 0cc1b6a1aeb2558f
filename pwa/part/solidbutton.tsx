import { go } from "../lib/state";
import { tubes } from "../lib/texttube";

interface SolidButtonProps {
	job: string;
	tube?: string;
}

// <SolidButton job={…} tube="t1"> leads to the drawing in three dimensions, with one tube marked.
// Props: job, tube.  Calls: go.
export function SolidButton({ job, tube = "" }: SolidButtonProps) {
	return (
		<button type="button" data-test="to-3d" onClick={() => go({ screen: "view3d", job, id: tube })}>
			{tubes.solid}
		</button>
	);
}

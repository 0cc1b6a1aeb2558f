import { asked } from "../lib/fields";
import { go, type Route, route } from "../lib/state";
import { choose } from "../lib/textchoose";
import { ownerTitle } from "./known";
import { Mark } from "./mark";

interface RestingProps {
	job: string;
	slots: string[] | undefined;
}

// <Resting job={…} slots={plan.disputed}> stands beside figures that rest on slots in dispute and leads to the
// choice for each; nothing where there is none.
// Props: job, slots.  Calls: go.
export function Resting({ job, slots }: RestingProps) {
	if (!slots || slots.length === 0) return null;
	return (
		<div class="resting" data-test="resting">
			<Mark kind="disputed" />
			<span>{choose.rests}</span>
			{slots.map((slot) => (
				<button
					key={slot}
					type="button"
					class="plain"
					data-test={`rests:${slot}`}
					onClick={() => go(chooseRoute(job, slot))}
				>
					{`${ownerTitle(job, slot)} · ${labelOf(slot)}`}
				</button>
			))}
		</div>
	);
}

/** labelOf is what a slot asks for; the place in a list is no field. */
export function labelOf(slot: string): string {
	return asked(slot)?.field.label ?? choose.placeLabel;
}

/** chooseRoute leads to the choice between the readings of a slot, and from there back to where it was called from. */
export function chooseRoute(job: string, slot: string): Route {
	const { screen, id = "", slot: at = "" } = route.value;
	return { screen: "choose", job, slot, id: [screen, id, at].join(" ").trimEnd() };
}

/** cameFrom is where chooseRoute was called from; null when the choice was opened by its address. */
export function cameFrom(job: string, from: string): Route | null {
	const [screen = "", id, slot] = from.split(" ");
	if (screen === "" || screen === "choose" || screen === "measure") return null;
	return { screen, job, ...(id && { id }), ...(slot && { slot }) };
}

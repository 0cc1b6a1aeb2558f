import { units } from "../lib/state";
import { saved } from "../lib/textsaved";

// <ViewSwitch> changes the unit in which lengths are shown. No reading is changed by it.
// Props: none.  Calls: sets the signal units.
export function ViewSwitch() {
	return (
		<fieldset class="switch">
			<legend class="aside">{saved.units}</legend>
			{(["mm", "in"] as const).map((u) => (
				<button
					type="button"
					key={u}
					class={units.value === u ? "picked" : ""}
					aria-pressed={units.value === u}
					data-test={`view-${u}`}
					onClick={() => {
						units.value = u;
					}}
				>
					{u}
				</button>
			))}
		</fieldset>
	);
}

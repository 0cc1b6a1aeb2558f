import type { Side } from "../lib/face";
import { flange } from "../lib/textflange";

interface SideSwitchProps {
	side: Side;
	onSide: (side: Side) => void;
}

// <SideSwitch side="tubes" onSide={…}> says from which side a drawing is seen, and turns it over with one tap.
// Props: side.  Calls: onSide.
export function SideSwitch({ side, onSide }: SideSwitchProps) {
	return (
		<fieldset class="switch">
			<legend class="aside">{flange.side.legend}</legend>
			{(["tubes", "head"] as const).map((s) => (
				<button
					type="button"
					key={s}
					class={side === s ? "picked" : ""}
					aria-pressed={side === s}
					data-test={`side-${s}`}
					onClick={() => onSide(s)}
				>
					{flange.side[s]}
				</button>
			))}
		</fieldset>
	);
}

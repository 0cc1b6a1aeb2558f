import { text } from "../lib/text";

export interface Choice {
	value: string;
	label: string;
	off?: boolean; // cannot be picked now
}

interface ChoicesProps {
	label: string;
	options: Choice[];
	value: string;
	onPick: (value: string) => void;
	test?: string;
}

// <Choices label="Port shape" options={…} value="round"> offers a few words as large buttons.
// Props: label (for readers), options, value (the one in use), test (prefix of the test ids).
// Calls: onPick(value) once per tap.
export function Choices({ label, options, value, onPick, test = "choice" }: ChoicesProps) {
	return (
		<fieldset class="choices">
			<legend class="aside">{label}</legend>
			{options.map((o) => (
				<button
					type="button"
					key={o.value}
					class={o.value === value ? "choice picked" : "choice"}
					aria-pressed={o.value === value}
					data-test={`${test}:${o.value}`}
					disabled={o.off === true}
					onClick={() => onPick(o.value)}
				>
					<svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true" focusable="false">
						<circle cx="12" cy="12" r="9" fill="none" stroke="currentColor" stroke-width="2.5" />
						{o.value === value && <circle cx="12" cy="12" r="5" fill="currentColor" />}
					</svg>
					<span>{o.label === "" ? text.none : o.label}</span>
				</button>
			))}
		</fieldset>
	);
}

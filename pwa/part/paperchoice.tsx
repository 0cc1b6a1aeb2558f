import { signal } from "@preact/signals";
import { sheet } from "../lib/textsheet";

/** The paper in the shop's printer; it stays until another is taken. */
export const paper = signal("a4");

// <PaperChoice onPick={…} /> asks on which paper the shop writes a PDF.
// Props: onPick, after another one was taken.  Calls: onPick.
export function PaperChoice({ onPick }: { onPick: () => void }) {
	const t = sheet.out;
	return (
		<fieldset class="switch">
			<legend class="cell-label">{t.paper}</legend>
			{Object.entries(t.papers).map(([name, label]) => (
				<button
					key={name}
					type="button"
					class={paper.value === name ? "picked" : ""}
					aria-pressed={paper.value === name}
					data-test={`paper-${name}`}
					onClick={() => {
						paper.value = name;
						onPick();
					}}
				>
					{label}
				</button>
			))}
		</fieldset>
	);
}

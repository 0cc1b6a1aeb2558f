import { text } from "../lib/text";

interface BackProps {
	onBack: () => void;
}

// <Back onBack={…}> is the way back at the head of a page.
// Props: onBack.  Calls: onBack.
export function Back({ onBack }: BackProps) {
	return (
		<button type="button" class="plain back" data-test="back" onClick={onBack}>
			<svg viewBox="0 0 24 24" width="22" height="22" aria-hidden="true" focusable="false">
				<path d="M15 4 7 12l8 8" fill="none" stroke="currentColor" stroke-width="3" />
			</svg>
			{text.back}
		</button>
	);
}

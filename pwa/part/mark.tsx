import { text } from "../lib/text";

export type MarkKind = "missing" | "agreed" | "disputed" | "chosen" | "stop" | "warn" | "note";

interface MarkProps {
	kind: MarkKind;
	words?: boolean;
}

// <Mark kind="disputed"> says by its shape how a value or a finding stands; colour only repeats it.
// Props: kind, words (show the word beside the shape, not only to readers).  Calls: nothing.
export function Mark({ kind, words }: MarkProps) {
	return (
		<span class={`mark mark-${kind}`}>
			<svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true" focusable="false">
				{SHAPES[kind]()}
			</svg>
			<span class={words ? "" : "aside"}>{text.mark[kind]}</span>
		</span>
	);
}

const SHAPES: Record<MarkKind, () => preact.JSX.Element> = {
	missing: () => <circle cx="12" cy="12" r="8.5" fill="none" stroke="currentColor" stroke-width="2.5" />,
	agreed: () => <circle cx="12" cy="12" r="9" fill="currentColor" />,
	disputed: () => (
		<g>
			<circle cx="12" cy="12" r="8.5" fill="none" stroke="currentColor" stroke-width="2.5" />
			<path d="M12 3.5a8.5 8.5 0 0 0 0 17z" fill="currentColor" />
		</g>
	),
	chosen: () => <path d="M12 2.5 21.5 12 12 21.5 2.5 12z" fill="currentColor" />,
	stop: () => (
		<g>
			<path d="M7 2.5h10l5 9.5-5 9.5H7L2 12z" fill="currentColor" />
			<path class="mark-cut" d="M12 6.5v7.5M12 16.4v2" fill="none" stroke-width="2.8" />
		</g>
	),
	warn: () => (
		<path
			d="M12 3.5 21.5 20.5H2.5z"
			fill="none"
			stroke="currentColor"
			stroke-width="2.5"
			stroke-linejoin="round"
		/>
	),
	note: () => <circle cx="12" cy="12" r="4" fill="currentColor" />,
};

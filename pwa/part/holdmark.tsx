interface HoldMarkProps {
	removable: boolean;
	words: string;
}

// <HoldMark removable words="comes off"> says by its shape whether a station stays: a block on its plate, or one that
// is lifted off.
// Props: removable, words (beside it).  Calls: nothing.
export function HoldMark({ removable, words }: HoldMarkProps) {
	return (
		<span class={removable ? "hold-mark hold-off" : "hold-mark"}>
			<svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true" focusable="false">
				<path d="M3 20.5h18" fill="none" stroke="currentColor" stroke-width="3" />
				{removable ? (
					<g fill="none" stroke="currentColor" stroke-width="2.5">
						<path d="M5.5 15.5V11h13v4.5" />
						<path d="M12 9V3M8.5 6 12 2.5 15.5 6" />
					</g>
				) : (
					<path d="M5.5 9h13v10h-13z" fill="currentColor" />
				)}
			</svg>
			<span>{words}</span>
		</span>
	);
}

import { text } from "../lib/text";
import type { Where } from "../lib/typesapp";

interface BarsProps {
	at: Where;
	words?: string;
}

// <Bars at="shop" words="in the shop"> says where something is saved: one, two or three rising bars.
// Props: at, words (what stands beside; the plain name of the place when left out).  Calls: nothing.
export function Bars({ at, words }: BarsProps) {
	const full = { tablet: 1, shop: 2, backed: 3 }[at];
	return (
		<span class={`bars bars-${at}`}>
			<svg viewBox="0 0 22 20" width="22" height="20" aria-hidden="true" focusable="false">
				{[1, 2, 3].map((n) => (
					<rect
						key={n}
						x={(n - 1) * 8}
						y={20 - n * 6}
						width="6"
						height={n * 6}
						fill={n <= full ? "currentColor" : "none"}
						stroke="currentColor"
						stroke-width="1"
					/>
				))}
			</svg>
			<span>{words ?? text.where[at]}</span>
		</span>
	);
}

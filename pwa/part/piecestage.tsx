import { asked } from "../lib/fields";
import { bench } from "../lib/textbench";

/** pieceStages are how far a piece can be, in order. */
export const pieceStages = asked("element/x/stage")?.field.words ?? [];

interface PieceStageProps {
	stage: string;
}

// <PieceStage stage="tacked"> is how far a piece has come: a box for each stage, filled up to where it is, and the word.
// Props: stage ("" before it is cut).  Calls: nothing.
export function PieceStage({ stage }: PieceStageProps) {
	const at = pieceStages.indexOf(stage);
	return (
		<span class="piece-stage" data-stage={stage}>
			<svg
				viewBox={`0 0 ${pieceStages.length * 14} 14`}
				width={pieceStages.length * 14}
				height="14"
				aria-hidden="true"
			>
				{pieceStages.map((s, i) => (
					<rect
						key={s}
						x={i * 14 + 1.5}
						y="1.5"
						width="10"
						height="11"
						fill={i <= at ? "currentColor" : "none"}
						stroke="currentColor"
						stroke-width="1.5"
					/>
				))}
			</svg>
			<span>{bench.stages[stage] ?? bench.notYet}</span>
		</span>
	);
}

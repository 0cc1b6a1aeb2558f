import type { BoardPieces } from "../lib/board";
import { wall } from "../lib/textwall";
import { pieceStages } from "./piecestage";

const WIDE = 36;
const HIGH = 60;
const NUMBERED = 44; // pieces whose numbers can be read at 3 m when all stand on one line

interface WallPiecesProps {
	pieces: BoardPieces;
}

// <WallPieces pieces={…}> is every piece of a job by tube: a column of as many boxes as there are stages, filled up
// to where the piece is, with its number below; and how many stand in each stage, in words.
// Props: pieces.  Calls: nothing.
export function WallPieces({ pieces }: WallPiecesProps) {
	const tubes = byTube(pieces.each ?? []);
	const isNumbered = (pieces.each ?? []).length <= NUMBERED;
	return (
		<div class="wall-pieces" data-test="wall-pieces">
			<p class="wall-counts">{countWords(pieces)}</p>
			{tubes.length > 0 && (
				<ol class="wall-tubes">
					{tubes.map(([tube, list]) => (
						<li key={tube}>
							<strong>{tube}</strong>
							{list.map((p) => (
								<Piece key={p.name} name={p.name} stage={p.stage} isNumbered={isNumbered} />
							))}
						</li>
					))}
				</ol>
			)}
		</div>
	);
}

function Piece({ name, stage, isNumbered }: { name: string; stage: string; isNumbered: boolean }) {
	const at = pieceStages.indexOf(stage);
	const step = HIGH / pieceStages.length;
	return (
		<span class="wall-piece" data-piece={name} data-stage={stage}>
			<svg viewBox={`0 0 ${WIDE} ${HIGH}`} role="img" aria-label={wall.piece(name, stage)}>
				{pieceStages.map((s, i) => (
					<rect
						key={s}
						x="1.5"
						y={HIGH - (i + 1) * step + 1.5}
						width={WIDE - 3}
						height={step - 3}
						fill={i <= at ? "currentColor" : "none"}
						stroke="currentColor"
						stroke-width="2"
					/>
				))}
			</svg>
			{isNumbered && <span>{name.split("-")[1]}</span>}
		</span>
	);
}

// Pieces of a tube stand in a row; what is chalked on them begins with its number.
function byTube(each: { name: string; stage: string }[]): [string, { name: string; stage: string }[]][] {
	const tubes = new Map<string, { name: string; stage: string }[]>();
	for (const p of each) {
		const tube = p.name.split("-")[0] ?? "";
		tubes.set(tube, [...(tubes.get(tube) ?? []), p]);
	}
	return [...tubes];
}

function countWords({ all, each: _, ...stages }: BoardPieces): string {
	const far = Object.values(stages).reduce((sum, n) => sum + n, 0);
	const some = Object.entries(stages).filter(([, n]) => n > 0);
	return wall.pieces(all, [
		...(far < all ? [wall.notCut(all - far)] : []),
		...some.map(([stage, n]) => `${n} ${stage}`),
	]);
}

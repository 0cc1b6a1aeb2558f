// What fills a part of a tube, on its way into the path: pieces out, new ones in, and the
// clock of the bend behind them.

import { angleReading, lengthReading } from "./computed";
import { replaceSome } from "./replaced";
import { type Fields, listOf } from "./state";
import type { FillPiece, FillPlan, Span } from "./typesfilling";
import type { PlanPiece } from "./typesplan";

/** FILLED is the tool of readings that came out of a closing piece. */
export const FILLED = "closing piece";

const DECIMALS = 2; // of an angle, as it was walked

/** fill puts a plan into the path of its tube as one act. It returns what takes it back. */
export function fill(
	job: string,
	span: Span,
	pieces: PlanPiece[],
	plan: FillPlan,
): Promise<() => Promise<void>> {
	const path = listOf(job, "element", span.tube).map((e) => e.id);
	const start = (joint: number) => {
		const piece = pieces[joint];
		return joint === 0 ? 0 : piece ? path.indexOf(piece.element) : path.length;
	};
	const [from, to] = [start(span.from), start(span.to)];
	const next = plan.next && pieces.find((p) => p.id === plan.next?.bend);
	return replaceSome(
		job,
		"element",
		span.tube,
		{ after: path[from - 1] ?? "", gone: path.slice(from, to) },
		plan.pieces.map(fieldsOf),
		plan.next && next
			? { [`element/${next.element}/rotation`]: angleReading(plan.next.clock, FILLED, DECIMALS) }
			: {},
	);
}

const fieldsOf = (p: FillPiece): Fields =>
	p.kind === "straight"
		? { type: "straight", length: lengthReading(p.length, FILLED) }
		: {
				type: "bend",
				turn: angleReading(p.angle ?? 0, FILLED, DECIMALS),
				clr: lengthReading(p.clr ?? 0, FILLED),
				rotation: angleReading(p.rotation ?? 0, FILLED, DECIMALS),
			};

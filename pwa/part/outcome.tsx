import { degrees, length, offset } from "../lib/say";
import { units } from "../lib/state";
import { bench } from "../lib/textbench";
import { correction as text } from "../lib/textcorrection";
import type { PlanGap } from "../lib/typesaround";
import type { Sure } from "../lib/typescorrection";
import { nameOf } from "./known";
import { Mark } from "./mark";

interface OutcomeProps {
	job: string;
	of: { miss: number; aim: number; length: number; longer: number; gaps: PlanGap[]; sure: Sure };
	more?: [string, string][];
}

// <Outcome job={…} of={answer}> says what comes of changes to a tube: how far off it ends, its length, how sure that
// is, and which gaps are less than wanted.
// Props: job, of, more (rows of figures besides).  Calls: nothing.
export function Outcome({ job, of: a, more = [] }: OutcomeProps) {
	const u = units.value;
	const rows: [string, string][] = [
		[text.head.miss, length(a.miss, u)],
		[text.head.aim, degrees(a.aim)],
		[text.head.length, `${length(a.length, u)} (${offset(a.longer, u)})`],
		[text.head.likely, text.likely(percent(a.sure.likely))],
		...more,
	];
	return (
		<>
			<dl class="piece-figures">
				{rows.map(([what, figure]) => (
					<div key={what}>
						<dt>{what}</dt>
						<dd>{figure}</dd>
					</div>
				))}
			</dl>
			<p class="soft small">{text.sure(length(a.sure.miss, u), degrees(a.sure.aim))}</p>
			{a.sure.fixture.slice(-1).map((f) => (
				<p key={f.joint} class="soft small">
					{text.fixture(a.sure.fixture.map((x) => bench.joint(x.joint)).join(", "), percent(f.likely))}
				</p>
			))}
			{a.gaps.length === 0 ? (
				<p class="soft">{text.gapsOk}</p>
			) : (
				a.gaps.map((g) => (
					<p key={`${g.a} ${g.b}`} class="row">
						<Mark kind="warn" />
						{text.gap(nameOf(job, g.a), nameOf(job, g.b), length(g.gap, u), length(g.wanted, u))}
					</p>
				))
			)}
		</>
	);
}

const percent = (p: number) => (p < 0.005 ? text.hardly : `${Math.round(100 * p)} %`);

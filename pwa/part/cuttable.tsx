import type { ComponentChildren } from "preact";
import { degrees, figure, fraction, length, type Maybe, type Units } from "../lib/say";
import { units } from "../lib/state";
import { choose } from "../lib/textchoose";
import { result, tubes } from "../lib/texttube";
import type { PlanTube } from "../lib/typesplan";
import { word } from "./known";
import { Mark } from "./mark";
import { Resting } from "./resting";

// <CutTable job={…} plan={…}> is the cut list of one tube: what it is cut from, and every piece by the number
// to write on it, with angle, lengths on the centreline, outside and inside of the bend, and the clock arc.
// While a figure of the tube rests on readings in dispute there is none, and the way to the choice instead.
// Props: job, plan.  Calls: nothing.
export function CutTable({ job, plan }: { job: string; plan: PlanTube }) {
	const u = units.value;
	const h = result.cutHead;
	const pieces = plan.pieces ?? [];
	if (pieces.length === 0) return null;
	if (plan.disputed.length > 0) {
		return (
			<div class="held stack" role="status" data-test={`held:${plan.id}`}>
				<strong>{choose.held}</strong>
				<Resting job={job} slots={plan.disputed} />
			</div>
		);
	}
	const total = pieces.reduce((sum, p) => sum + p.length, 0);
	const of = (field: string) => word(job, `tube/${plan.id}/${field}`);
	return (
		<Scroll>
			<table class="figures">
				<caption>
					{result.cut}
					<span class="soft small">
						{" "}
						{result.cutFrom(length(plan.od, u), length(plan.wall, u), of("material"))}
					</span>
				</caption>
				<thead>
					<tr>
						<th>{h.piece}</th>
						<th class="num">{`${h.angle}, °`}</th>
						<th class="num">{`${h.clr}, ${u}`}</th>
						<th class="num">{`${h.length}, ${u}`}</th>
						<th class="num">{`${h.outside}, ${u}`}</th>
						<th class="num">{`${h.inside}, ${u}`}</th>
						<th class="num">{`${h.clock}, ${u}`}</th>
					</tr>
				</thead>
				<tbody>
					{pieces.map((p) => (
						<tr key={p.id} data-test="cut-row" data-piece={p.id}>
							<th scope="row">
								<strong>{p.name}</strong> {p.kind === "bend" ? result.bend : result.straight}
							</th>
							<td class="num">{p.kind === "bend" ? bare(p.angle) : ""}</td>
							<Cell v={p.clr} u={u} />
							<Cell v={p.length} u={u} />
							<Cell v={p.outside} u={u} />
							<Cell v={p.inside} u={u} />
							<Cell v={p.clock_arc} u={u} />
						</tr>
					))}
				</tbody>
				<tfoot>
					<tr>
						<th scope="row">{result.total}</th>
						<td />
						<td />
						<Cell v={total} u={u} />
						<td />
						<td />
						<td />
					</tr>
				</tfoot>
			</table>
			<p class="soft small">{result.clockHint}</p>
		</Scroll>
	);
}

// <LraTable plan={…}> is the bender data of one tube: length, rotation, angle, and the last straight; rows that
// rest on readings in dispute bear the mark.
// Props: plan.  Calls: nothing.
export function LraTable({ plan }: { plan: PlanTube }) {
	const u = units.value;
	const h = result.lraHead;
	const rows = plan.lra ?? [];
	if (rows.length === 0 && typeof plan.last !== "number") return null;
	return (
		<Scroll>
			<table class="figures">
				<caption>
					<Doubt of={[plan.last_disputed, ...rows.map((r) => r.disputed)]} />
					{result.lra}
				</caption>
				<thead>
					<tr>
						<th />
						<th class="num">{`${h.length}, ${u}`}</th>
						<th class="num">{`${h.rotation}, °`}</th>
						<th class="num">{`${h.angle}, °`}</th>
						<th class="num">{`${h.clr}, ${u}`}</th>
					</tr>
				</thead>
				<tbody>
					{rows.map((r, i) => (
						<tr key={i}>
							<th scope="row">
								{i + 1}
								<Doubt of={[r.disputed]} />
							</th>
							<Cell v={r.length} u={u} />
							<td class="num">{bare(r.rotation)}</td>
							<td class="num">{bare(r.angle)}</td>
							<Cell v={r.clr} u={u} />
						</tr>
					))}
					<tr>
						<th scope="row">
							{result.last}
							<Doubt of={[plan.last_disputed]} />
						</th>
						<Cell v={plan.last} u={u} />
						<td />
						<td />
						<td />
					</tr>
				</tbody>
			</table>
		</Scroll>
	);
}

// <XyzTable plan={…}> lists the intersection points of one tube in its bank's frame.
// Props: plan.  Calls: nothing.
export function XyzTable({ plan }: { plan: PlanTube }) {
	const u = units.value;
	const points = plan.xyz ?? [];
	if (points.length === 0) return null;
	return (
		<Scroll>
			<table class="figures">
				<caption>
					<Doubt of={[plan.end?.disputed ?? []]} />
					{result.xyz}
				</caption>
				<thead>
					<tr>
						<th />
						<th class="num">{`x, ${u}`}</th>
						<th class="num">{`y, ${u}`}</th>
						<th class="num">{`z, ${u}`}</th>
					</tr>
				</thead>
				<tbody>
					{points.map((p, i) => (
						<tr key={i}>
							<th scope="row">{i + 1}</th>
							<td class="num">{figure(p[0], u)}</td>
							<td class="num">{figure(p[1], u)}</td>
							<td class="num">{figure(p[2], u)}</td>
						</tr>
					))}
				</tbody>
			</table>
			<p class="soft small">{tubes.endHint}</p>
		</Scroll>
	);
}

// Figures that rest on slots in dispute bear the mark.
function Doubt({ of }: { of: string[][] }) {
	return of.some((slots) => slots.length > 0) ? <Mark kind="disputed" /> : null;
}

// Lengths to cut carry the nearest 1/64 in below the decimal inches.
function Cell({ v, u }: { v: Maybe; u: Units }) {
	if (typeof v !== "number") return <td />;
	return (
		<td class="num">
			{figure(v, u)}
			{u === "in" &&
				fraction(v)
					.split(/ (?=[+−]\d\.)/)
					.map((part) => (
						<span class="fraction" key={part}>
							{part}
						</span>
					))}
		</td>
	);
}

const bare = (v: Maybe) => degrees(v).replace("°", "");

function Scroll({ children }: { children: ComponentChildren }) {
	return <div class="table">{children}</div>;
}

import { useEffect, useState } from "preact/hooks";
import { Superseded } from "../lib/calc";
import { type Missed, missesOf } from "../lib/misses";
import { degrees, figure } from "../lib/say";
import { units } from "../lib/state";
import { text } from "../lib/text";
import { bench } from "../lib/textbench";
import { Figures } from "./figures";

interface MissesProps {
	od: number;
	clr: number;
}

// <Misses od={41.275} clr={63.5}> is what is left where a cut misses a bend's centre: how far the face leans, how oval
// the end is and the step against a round one. It is worked out when it is opened.
// Props: od, clr (mm).  Calls: nothing.
export function Misses({ od, clr }: MissesProps) {
	const [isOpen, setOpen] = useState(false);
	const [list, setList] = useState<Missed[]>([]);
	const [fault, setFault] = useState("");
	useEffect(() => {
		if (!isOpen) return;
		let gone = false;
		setFault("");
		missesOf(od, clr).then(
			(l) => !gone && setList(l),
			(e: unknown) => {
				if (!gone && !(e instanceof Superseded)) setFault(e instanceof Error ? e.message : String(e));
			},
		);
		return () => {
			gone = true;
		};
	}, [isOpen, od, clr]);
	const w = bench.misses;
	const u = units.value;
	const head = [
		`${w.head.off}, ${u}`,
		w.head.lean,
		`${w.head.wide}, ${u}`,
		w.head.ovality,
		`${w.head.step}, ${u}`,
		w.head.square,
	];
	return (
		<details class="card misses" onToggle={(e) => setOpen(e.currentTarget.open)}>
			<summary data-test="misses">{w.title}</summary>
			<div class="stack">
				<p class="soft">{w.why}</p>
				{fault !== "" && <p class="fault">{fault}</p>}
				{fault === "" && list.length === 0 && <p class="soft">{text.status.calcBusy}</p>}
				{list.length > 0 && (
					<Figures title="" head={head} foot={w.foot} test="missed">
						{list.map((m) => (
							<tr key={m.off} data-test={`missed:${m.off}`}>
								<th scope="row">{figure(m.off, u)}</th>
								<td class="num">{degrees(m.lean)}</td>
								<td class="num">{figure(m.wide, u)}</td>
								<td class="num">{`${m.ovality.toFixed(2)} %`}</td>
								<td class="num">{figure(m.step, u)}</td>
								<td class="num">{m.isSquare ? w.yes : w.no}</td>
							</tr>
						))}
					</Figures>
				)}
			</div>
		</details>
	);
}

import { useState } from "preact/hooks";
import { addElbow, elbowWithin, pipeSizes, pipeWalls, wallSource, weldElbows } from "../lib/elbows";
import { asked } from "../lib/fields";
import { length, notSaved } from "../lib/say";
import { go, units } from "../lib/state";
import { text } from "../lib/text";
import { stock } from "../lib/textstock";
import { Choices } from "./choices";
import { Mark } from "./mark";
import { offerUndo } from "./undo";

interface ElbowPickerProps {
	job: string;
	onHand: () => void;
	onLeave: () => void;
}

const INCH = 25.4;

// <ElbowPicker job="shop" onHand={…} onLeave={…}> offers weld elbows by the standard: pipe size, schedule, form and
// material, with what they come to. The one that is added opens, and every figure of it can be changed.
// Props: job.  Calls: addElbow, go, onHand (to enter one field by field), onLeave.
export function ElbowPicker({ job, onHand, onLeave }: ElbowPickerProps) {
	const [nps, setNPS] = useState("");
	const [schedule, setSchedule] = useState("");
	const [form, setForm] = useState("");
	const [material, setMaterial] = useState("");
	const [fault, setFault] = useState("");
	const [isBusy, setBusy] = useState(false);
	const w = stock.elbow;
	const u = units.value;
	const forms = [...new Set(weldElbows.map((e) => e.form))];
	const elbow = weldElbows.find((e) => e.nps === nps && e.form === form);
	const wall = pipeWalls.find((p) => p.nps === nps && p.schedule === schedule);
	const walls = pipeWalls.filter((p) => p.nps === (nps || pipeSizes[0]));
	const inches = (s: string) => length(Number(s) * INCH, u);
	const materials = asked("stock/x/material")?.field.words ?? [];
	const add = async () => {
		if (!elbow || !wall || isBusy) return;
		setBusy(true);
		try {
			const { id, undo } = await addElbow(job, elbow, schedule, material);
			offerUndo(w.added(w.name(nps, schedule, form)), undo);
			go({ screen: "item", job, slot: `stock/${id}` });
		} catch (e) {
			setFault(notSaved(e));
			setBusy(false);
		}
	};
	return (
		<section class="card stack" data-test="elbow-picker">
			<h2>{w.title}</h2>
			<p class="soft">{w.why}</p>
			<h3>{w.size}</h3>
			<Choices
				label={w.size}
				options={pipeSizes.map((s) => ({ value: s, label: w.nps(s) }))}
				value={nps}
				test="elbow-size"
				onPick={setNPS}
			/>
			<h3>{w.schedule}</h3>
			<Choices
				label={w.schedule}
				options={walls.map((p) => ({
					value: p.schedule,
					label: nps === "" ? p.schedule : w.wall(p.schedule, inches(p.wall)),
				}))}
				value={schedule}
				test="elbow-schedule"
				onPick={setSchedule}
			/>
			<h3>{w.form}</h3>
			<Choices
				label={w.form}
				options={forms.map((f) => ({ value: f, label: f }))}
				value={form}
				test="elbow-form"
				onPick={setForm}
			/>
			<p class="soft small">{w.formHint}</p>
			<h3>{w.material}</h3>
			<Choices
				label={w.material}
				options={materials.map((m) => ({ value: m, label: m }))}
				value={material}
				test="elbow-material"
				onPick={(m) => setMaterial(m === material ? "" : m)}
			/>
			{elbow && wall && (
				<>
					<dl class="piece-figures" data-test="elbow-figures">
						{[
							[w.od, inches(elbow.od)],
							[w.wallIs, inches(wall.wall)],
							[w.clr, inches(elbow.clr)],
							[elbow.angle === 180 ? w.between : w.end, length(elbow.across, u)],
						].map(([what, figure]) => (
							<div key={what}>
								<dt>{what}</dt>
								<dd>{figure}</dd>
							</div>
						))}
					</dl>
					<p class="soft small">
						{w.source(
							wallSource(schedule),
							length(elbowWithin.odMore, u),
							length(elbowWithin.odLess, u),
							length(elbowWithin.end, u),
							`${100 * elbowWithin.wall} %`,
						)}
					</p>
					{elbow.beyond !== undefined && (
						<p class="row" data-test="elbow-beyond">
							<Mark kind="warn" />
							<span>{w.beyond(length(elbow.beyond, u))}</span>
						</p>
					)}
				</>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
			<div class="row wrap">
				<button
					type="button"
					class="primary grow"
					data-test="elbow-add"
					disabled={!elbow || !wall || isBusy}
					onClick={() => void add()}
				>
					{w.add}
				</button>
				<button type="button" data-test="elbow-by-hand" onClick={onHand}>
					{w.byHand}
				</button>
				<button type="button" data-test="elbow-leave" onClick={onLeave}>
					{text.cancel}
				</button>
			</div>
		</section>
	);
}

import { useState } from "preact/hooks";
import { lraCSV, xyzCSV } from "../lib/csv";
import { fileName, length } from "../lib/say";
import { noteText, type PlanTube, units, view } from "../lib/state";
import { around } from "../lib/textaround";
import { result } from "../lib/texttube";
import { LraTable, XyzTable } from "../part/cuttable";
import { HandOver } from "../part/handover";
import { titleOf, word } from "../part/known";
import { Page } from "../part/page";
import { PointsIn } from "../part/pointsin";
import { Resting } from "../part/resting";
import { Levers } from "../part/tubefit";
import { ViewSwitch } from "../part/viewswitch";

interface BenderProps {
	job: string;
	id: string;
}

// <Bender job={…} id="t1"> is the bender data of one tube to take along: as files for machines, as a list to print
// with the signs explained on it, and the way in for points from elsewhere.
// Props: job, id (of the tube).  Calls: nothing.
export function Bender({ job, id }: BenderProps) {
	const plan = view.value?.plan.tubes?.find((t) => t.id === id);
	const title = titleOf(job, "tube", id);
	return (
		<Page title={around.bender.title(title)} back={{ screen: "tube", job, id }} extra={<ViewSwitch />}>
			<Out job={job} title={title} plan={plan} />
			<PointsIn job={job} id={id} />
		</Page>
	);
}

function Out({ job, title, plan }: { job: string; title: string; plan: PlanTube | undefined }) {
	const t = around.bender;
	const rows = plan?.lra ?? [];
	const disputed = plan?.disputed ?? [];
	if (!plan || (rows.length === 0 && typeof plan.last !== "number")) return <p class="card soft">{t.none}</p>;
	if (disputed.length > 0) {
		return (
			<section class="card held stack" role="status" data-test="bender-held">
				<strong>{t.held}</strong>
				<Resting job={job} slots={disputed} />
			</section>
		);
	}
	const name = noteText(job, "job/self/name");
	const u = units.value;
	return (
		<section class="card stack print" data-test="bender">
			<h2 class="only-print">{[name, title].filter((s) => s !== "").join(", ")}</h2>
			<p>{t.section(length(plan.od, u), length(plan.wall, u), word(job, `tube/${plan.id}/material`))}</p>
			<div class="columns">
				<LraTable plan={plan} />
				<XyzTable plan={plan} />
			</div>
			<Levers job={job} plan={plan} />
			<section class="stack">
				<h3>{t.signs}</h3>
				<ul class="stack signs">
					{t.conventions.map((c) => (
						<li key={c}>{c}</li>
					))}
					{(plan.xyz ?? []).length > 0 && <li>{t.xyz}</li>}
				</ul>
				<p>
					<strong>{t.cut}</strong>
				</p>
				{view.value && <p class="soft small only-print">{result.hash(view.value.hash)}</p>}
			</section>
			<div class="stack no-print">
				<button type="button" data-test="print" onClick={() => print()}>
					{t.print}
				</button>
				<Made test="lra" label={t.lra} name={[name, title, "lra"]} make={() => lraCSV(plan)} />
				{(plan.xyz ?? []).length > 0 && (
					<Made test="xyz" label={t.points} name={[name, title, "xyz"]} make={() => xyzCSV(plan)} />
				)}
			</div>
		</section>
	);
}

interface MadeProps {
	test: string;
	label: string;
	name: string[];
	make: () => string;
}

// A file is made when it is asked for; once the figures are others it is no longer offered.
function Made({ test, label, name, make }: MadeProps) {
	const [made, setMade] = useState<{ text: string; file: File } | null>(null);
	const now = make();
	return (
		<div class="stack">
			<button
				type="button"
				data-test={`${test}-csv`}
				onClick={() => {
					const file = new File([now], `${fileName(name.join(" "), "tube")}.csv`, { type: "text/csv" });
					setMade({ text: now, file });
				}}
			>
				{label}
			</button>
			{made?.text === now && (
				<HandOver file={made.file} test={test}>
					{made.file.name}
				</HandOver>
			)}
		</div>
	);
}

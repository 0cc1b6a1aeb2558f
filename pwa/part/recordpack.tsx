import { useState } from "preact/hooks";
import { pairing } from "../lib/pairing";
import { packOf } from "../lib/sheets";
import { status, units } from "../lib/state";
import { pack } from "../lib/textpack";
import { HandOver } from "./handover";
import { Mark } from "./mark";
import { PaperChoice, paper } from "./paperchoice";

// <RecordPackCard job={…}> is the part of a job's front that gets its record pack from the shop; a tablet for measuring
// is told whose it is.
// Props: job.  Calls: packOf.
export function RecordPackCard({ job }: { job: string }) {
	const isMeasure = pairing.value.role === "measure";
	return (
		<section class="card stack" data-test="record-pack">
			<h2>{pack.title}</h2>
			{isMeasure ? (
				<p class="row" data-test="pack-bench-only">
					<Mark kind="note" />
					<span>{pack.benchOnly}</span>
				</p>
			) : (
				<Getting job={job} />
			)}
		</section>
	);
}

function Getting({ job }: { job: string }) {
	const [file, setFile] = useState<File | null>(null);
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");
	const isAway = status.value.link === "offline";
	const state = isAway ? "away" : status.value.unsent > 0 ? "unsent" : "all";
	const get = async () => {
		setBusy(true);
		setFault("");
		setFile(null);
		try {
			setFile(await packOf(job, paper.value, units.value));
		} catch (e) {
			setFault(pack.refused(e instanceof Error ? e.message : String(e)));
		}
		setBusy(false);
	};
	return (
		<div class="stack">
			<p class="soft">{pack.why}</p>
			<PaperChoice onPick={() => setFile(null)} />
			{/* always there, and as high: the page must not move under a finger when the last entry has gone */}
			<p
				class={state === "all" ? "soft two-lines" : "doubt two-lines"}
				role="status"
				data-test={`pack-${state}`}
			>
				{pack.state[state]}
			</p>
			<button type="button" data-test="get-pack" disabled={busy || isAway} onClick={get}>
				{busy ? pack.making : pack.make}
			</button>
			{fault !== "" && (
				<p class="fault" role="alert" data-test="pack-fault">
					{fault}
				</p>
			)}
			{file && (
				<HandOver file={file} test="pack">
					{pack.holds(file.name, (file.size / 1e6).toFixed(1))}
				</HandOver>
			)}
		</div>
	);
}

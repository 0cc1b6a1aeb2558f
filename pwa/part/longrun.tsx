import { useEffect } from "preact/hooks";
import { again, type LongKind, signNow, stop, type Worked, want, workedOut } from "../lib/long";
import { longText } from "../lib/textlong";

/**
 * useLong makes the answer of a calculation that takes long come for as long as a screen shows it, anew when the job
 * changes or what is asked beside it.
 */
export function useLong<T>(kind: LongKind, job: string, beside?: object): Worked<T> {
	const sign = signNow(job);
	const asked = JSON.stringify(beside ?? {});
	useEffect(() => want(kind, job, sign, asked), [kind, job, sign, asked]);
	return workedOut<T>(kind, job).value;
}

interface LongRunProps {
	kind: LongKind;
	job: string;
	worked: Worked<unknown>;
}

// <LongRun kind="cuts" job={…} worked={useLong("cuts", job)}> says how far a calculation that takes long is, or why
// there is no answer; nothing where the answer is there. What it is about stands beside it, dimmed while isStale.
// Props: kind, job, worked.  Calls: stop, again.
export function LongRun({ kind, job, worked }: LongRunProps) {
	const { state, done, answer, why } = worked;
	if (state === "none" || state === "done") return null;
	const says = {
		running: longText.running(done),
		stopped: answer === null ? longText.stoppedEmpty : longText.stopped,
		away: longText.away,
		failed: longText.failed(why),
	}[state];
	return (
		<div class="card stack" data-test={`long:${kind}`} data-state={state} aria-busy={state === "running"}>
			<p class={state === "failed" ? "fault" : "soft"} role="status">
				{says}
			</p>
			{state === "running" && <progress max={1} value={done} aria-label={longText.running(0)} />}
			<button
				type="button"
				data-test={`long-act:${kind}`}
				onClick={() => (state === "running" ? stop(kind) : again(kind, job))}
			>
				{state === "running" ? longText.stop : longText.again}
			</button>
		</div>
	);
}

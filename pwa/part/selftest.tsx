import type { Line } from "../lib/selftest";
import { test } from "../lib/textpair";
import { Mark, type MarkKind } from "./mark";
import { clockWords } from "./notices";

const MARKS: Record<Line["is"], MarkKind> = { running: "missing", good: "agreed", warn: "warn", bad: "stop" };

interface SelfTestProps {
	lines: Line[];
	host: string;
	onAgain: () => void;
}

// <SelfTest lines={…} host="tubewright.local"> is the list of what was tried out: each line by shape and in
// words, and what to do about what is not good.
// Props: lines, host (of the page).  Calls: onAgain.
export function SelfTest({ lines, host, onAgain }: SelfTestProps) {
	const isBusy = lines.some((l) => l.is === "running");
	return (
		<section class="card stack selftest" data-test="selftest" data-busy={isBusy}>
			<div class="row">
				<h2 class="grow">{test.title}</h2>
				<button type="button" data-test="test-again" disabled={isBusy} onClick={onAgain}>
					{isBusy ? test.running : test.again}
				</button>
			</div>
			<ul class="test-lines">
				{lines.map((l) => (
					<li key={l.name} class="test-line" data-test={`test-${l.name}`} data-is={l.is}>
						<Mark kind={MARKS[l.is]} />
						<div class="grow">
							<p class={l.is === "bad" ? "fault" : ""}>{words(l)}</p>
							{(l.is === "bad" || l.is === "warn") && (
								<p class="small">
									{test.todo[l.name]?.(host)}
									{l.is === "bad" && l.said !== "" && <span class="soft"> {test.browserSaid(l.said)}</span>}
								</p>
							)}
						</div>
					</li>
				))}
			</ul>
		</section>
	);
}

function words(l: Line): string {
	if (l.name === "clock" && l.is === "warn" && l.said !== "") return clockWords(Number(l.said));
	const say = l.is === "bad" || l.is === "warn" ? test.not : test.good;
	return say[l.name]?.(l.said) ?? l.name;
}

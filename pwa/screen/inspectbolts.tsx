import { useState } from "preact/hooks";
import { readSlots } from "../lib/inspect";
import { notSaved } from "../lib/say";
import { go, keepTogether } from "../lib/state";
import { inspect } from "../lib/textinspect";
import { known, ownerTitle, word } from "../part/known";
import { Mark } from "../part/mark";
import { PhotoButton } from "../part/photobutton";
import { Photos } from "../part/photos";
import { chooseRoute } from "../part/resting";
import { offerUndo } from "../part/undo";
import type { InspectPartProps } from "./inspect";

const t = inspect.bolts;

// <InspectBolts job at> is all bolts in one list: of each whether it starts by hand, and all others at once.
// Props: job, at.  Calls: keepTogether, go.
export function InspectBolts({ job, at }: InspectPartProps) {
	const [fault, setFault] = useState("");
	const slots = readSlots(job, at);
	const left = slots.filter((s) => known(job, s).state === "missing");
	const say = (readings: Record<string, string>, what: string) => {
		setFault("");
		keepTogether(job, readings).then(
			(undo) => offerUndo(what, undo),
			(e: unknown) => setFault(notSaved(e)),
		);
	};
	if (slots.length === 0) return null;
	return (
		<section class="card stack" data-test="group:bolts">
			<h2>{inspect.groups.bolts}</h2>
			<p class="soft">{t.why}</p>
			<ul class="reads">
				{slots.map((slot) => {
					const name = ownerTitle(job, slot);
					const { state } = known(job, slot);
					const now = state === "missing" ? "" : word(job, slot);
					return (
						<li key={slot} class="read-row bolt-row" data-test={`bolt:${slot}`} data-state={state}>
							<strong class="row bolt-name">
								<Mark
									kind={
										state === "disputed" || state === "missing" ? state : now === "yes" ? "agreed" : "warn"
									}
								/>
								{name}
							</strong>
							{state === "disputed" ? (
								<button type="button" class="grow" onClick={() => go(chooseRoute(job, slot))}>
									{inspect.verdict.differ} ▸
								</button>
							) : (
								<fieldset class="two">
									<legend class="aside">{name}</legend>
									{(["yes", "no"] as const).map((w) => (
										<button
											key={w}
											type="button"
											class={now === w ? "picked" : ""}
											aria-pressed={now === w}
											data-test={`${slot}:${w}`}
											onClick={() => now !== w && say({ [slot]: w }, t.said(name, w === "yes"))}
										>
											{w === "yes" ? t.yes : t.no}
										</button>
									))}
								</fieldset>
							)}
							<PhotoButton job={job} slot={slot} what={name} />
							<Photos job={job} slot={slot} />
						</li>
					);
				})}
			</ul>
			{left.length > 0 && (
				<button
					type="button"
					class="wide"
					data-test="all-start"
					onClick={() => say(Object.fromEntries(left.map((s) => [s, "yes"])), t.took(left.length))}
				>
					{t.all}
				</button>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</section>
	);
}

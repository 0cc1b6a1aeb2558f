import type { ComponentChildren } from "preact";
import { both, inView, moment, resolution } from "../lib/say";
import { type Choice, type Head, isOwn, units, whereIs } from "../lib/state";
import { choose } from "../lib/textchoose";
import { measure } from "../lib/textmeasure";
import { Bars } from "./bars";
import { now } from "./now";
import { Photos } from "./photos";

interface ReadingCardProps {
	job: string;
	slot: string;
	head: Head;
	value: string;
	chosen: Choice[];
	aside: boolean;
	children: ComponentChildren;
}

// <ReadingCard job slot head value="41,3 mm" chosen aside={false}> is one reading to choose from: its value as
// typed and in both units, who read it, when, with what, how finely, on which tablet, where it is saved, its photos.
// Props: job, slot, head, value (as typed), chosen (standing choices that name it), aside (a choice passed it
// over), children (what follows from it, the button).  Calls: nothing.
export function ReadingCard({ job, slot, head, value, chosen, aside, children }: ReadingCardProps) {
	const say = choose;
	const res = resolution(head);
	const seen = inView(head, units.value);
	return (
		<li class="card stack reading-card" data-test={`card:${head.id}`}>
			<div class="row wrap">
				<strong class="choose-value">{value}</strong>
				{seen !== "" && <span class="choose-view">{seen}</span>}
			</div>
			{both(head) !== "" && <span>{both(head)}</span>}
			<div>
				<div>
					{[head.person || say.noPerson, moment(head.at, now.value)].filter((s) => s !== "").join(", ")}
				</div>
				<div class="soft">
					{[head.tool || say.noTool, res && measure.resolution(res)].filter((s) => s !== "").join(" · ")}
				</div>
			</div>
			<div class="row wrap soft">
				<Bars at={whereIs(head.id)} />
				<span>{isOwn(head.dev) ? say.thisTablet : say.otherTablet(head.dev.slice(0, 4))}</span>
			</div>
			<Photos job={job} slot={slot} of={head.id} />
			{chosen.map((c) => (
				<span key={c.id}>{say.choseThis(c.person, moment(c.at, now.value))}</span>
			))}
			{aside && <span class="soft">{say.aside}</span>}
			{children}
		</li>
	);
}

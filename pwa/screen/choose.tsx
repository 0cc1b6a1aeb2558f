import { useEffect, useState } from "preact/hooks";
import { asked } from "../lib/fields";
import { may } from "../lib/pairing";
import { moment, notSaved, typed } from "../lib/say";
import {
	type Choice,
	choicesOf,
	choose,
	type Form,
	go,
	type Head,
	openForm,
	readingsOf,
	retract,
} from "../lib/state";
import { text } from "../lib/text";
import { choose as chooseWords } from "../lib/textchoose";
import { measure } from "../lib/textmeasure";
import { apart } from "../lib/withwords";
import { BenchOnly } from "../part/benchonly";
import { said as saidValue } from "../part/fieldcell";
import { known, ownerTitle, siblings } from "../part/known";
import { Mark } from "../part/mark";
import { now } from "../part/now";
import { Page } from "../part/page";
import { ReadingCard } from "../part/readingcard";
import { cameFrom, labelOf } from "../part/resting";
import { tellSaved } from "../part/savednote";
import { offerUndo } from "../part/undo";
import { useWith, WithPlan } from "../part/withplan";
import { ownerRoute } from "./measure";

interface ChooseProps {
	job: string;
	slot: string;
	from: string;
}

// <Choose job={…} slot="port/p1/width" from="list disputed"> puts the readings of a slot side by side: each with
// who, when, with what, and what the plan becomes with it. A person picks one, or takes a new reading; none is
// lost, and a choice can be undone. What arrives while it is open appears.
// Props: job, slot, from (the screen to go back to, "" for where the slot stands).
// Calls: openForm, choose, retract (undo), go.
export function Choose({ job, slot, from }: ChooseProps) {
	const [form, setForm] = useState<Form | null>(null);
	const [fault, setFault] = useState("");
	const ask = asked(slot);
	const state = known(job, slot);
	const aside = state.aside ?? [];
	const all = readingsOf(job, slot);
	const choices = choicesOf(job, slot);
	const unreadable = all.filter((r) => state.unreadable?.includes(r.id));
	const shown = [...state.heads, ...aside, ...unreadable, ...choices].map((r) => r.id).join();
	const weighed = useWith(job, slot, shown);

	// The form names what was on the table when it opened; what arrives later opens it again.
	useEffect(() => {
		let gone = false;
		if (shown !== "")
			openForm(job, slot).then(
				(f) => !gone && setForm(f),
				(e: unknown) => !gone && setFault(measure.formError(String(e))),
			);
		return () => {
			gone = true;
		};
	}, [job, slot, shown]);

	const back = cameFrom(job, from) ?? ownerRoute(job, slot);
	const say = (h: Head) => (ask ? saidValue(job, ask, h) : saidPlace(job, slot, h));
	const name = `${ownerTitle(job, slot)} · ${labelOf(slot)}`;
	const pick = async (h: Head) => {
		if (!form) return;
		try {
			await choose(form, h.id);
			const made = form.choice;
			tellSaved(`${labelOf(slot)} ${say(h)}`);
			offerUndo(chooseWords.undone(`${labelOf(slot)} ${say(h)}`), async () => {
				await retract(job, [made]);
			});
			go(back);
		} catch (e) {
			setFault(notSaved(e));
		}
	};
	const rows = [...state.heads.map((h) => ({ h, off: false })), ...aside.map((h) => ({ h, off: true }))];
	return (
		<Page
			title={name}
			back={back}
			foot={
				ask && (
					<button
						type="button"
						class="wide"
						data-test="new-reading"
						onClick={() => go({ screen: "measure", job, slot })}
					>
						{chooseWords.again}
					</button>
				)
			}
		>
			<p class="row" data-test="choose-state" data-state={state.state}>
				<Mark kind={state.state} />
				<strong>{state.state === "disputed" ? chooseWords.title : chooseWords.settled}</strong>
			</p>
			<p>{[apart(state.heads), chooseWords.why].filter((s) => s !== "").join(" ")}</p>
			<BenchOnly kind="choice" />
			<Contradiction choices={choices} heads={state.heads} say={say} />
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
			{weighed.why !== "" && (
				<p class="fault" data-test="with-fault">
					{chooseWords.cannot(weighed.why)}
				</p>
			)}
			<ul class="choose">
				{rows.map(({ h, off }) => {
					const chosen = choices.filter((c) => c.chosen === h.id);
					const settled = state.state === "chosen" && chosen.length > 0;
					return (
						<ReadingCard key={h.id} job={job} slot={slot} head={h} value={say(h)} chosen={chosen} aside={off}>
							{may("choice") && (
								<button
									type="button"
									class={settled ? "" : "primary"}
									data-test={`choose:${h.id}`}
									disabled={!form || settled}
									onClick={() => pick(h)}
								>
									{settled ? chooseWords.inUse : chooseWords.pick}
								</button>
							)}
							<WithPlan job={job} id={h.id} weighed={weighed} />
						</ReadingCard>
					);
				})}
				{unreadable.map((r) => (
					<ReadingCard key={r.id} job={job} slot={slot} head={r} value={text.none} chosen={[]} aside={false}>
						<p>{chooseWords.unreadable}</p>
					</ReadingCard>
				))}
			</ul>
		</Page>
	);
}

interface ContradictionProps {
	choices: Choice[];
	heads: Head[];
	say: (h: Head) => string;
}

// Two choices made without each other that name different readings.
function Contradiction({ choices, heads, say }: ContradictionProps) {
	const made = choices.flatMap((c) => {
		const h = heads.find((r) => r.id === c.chosen);
		return h ? [{ c, h }] : [];
	});
	if (new Set(made.map(({ h }) => h.id)).size < 2) return null;
	const who = made.map(({ c, h }) => chooseWords.chose(c.person, say(h), moment(c.at, now.value)));
	return (
		<p class="card row" role="status" data-test="contradiction">
			<Mark kind="disputed" />
			<span>{chooseWords.contradict(who.join("; "))}</span>
		</p>
	);
}

// The place that an order key gives an entry in its list; its text says nothing to a person.
function saidPlace(job: string, slot: string, h: Head): string {
	const [kind = "", id = "", field] = slot.split("/");
	if (field !== "order") return typed(h);
	const others = siblings(job, kind, id).filter((e) => e.id !== id);
	const before = others.filter((e) => (e.order ?? "") < h.text || (e.order === h.text && e.id < id));
	return chooseWords.place(before.length + 1, others.length + 1);
}

import { type Asked, asked, kinds, nextSlot, outlinedBy, parentOf } from "../lib/fields";
import { inspects, nextRead } from "../lib/inspect";
import { nextOfEngine } from "../lib/sizing";
import { go, keepReading, listOf, type ReadingInput, type Route, readingsOf, view } from "../lib/state";
import { text } from "../lib/text";
import { measure } from "../lib/textmeasure";
import type { Todo } from "../lib/types";
import { Asking, useForm } from "../part/asking";
import { fixtureWay } from "../part/fixtureway";
import { inspectWay } from "../part/inspectway";
import { ownerTitle, word } from "../part/known";
import { Photos } from "../part/photos";
import { PlannedHere } from "../part/plannedhere";
import { Readings } from "../part/readings";
import { tellSaved } from "../part/savednote";
import { sizingWay, staysAt } from "../part/sizingway";
import { weldWay } from "../part/weldway";
import { Figure } from "./figure";
import { Word } from "./word";

interface MeasureProps {
	job: string;
	slot: string;
}

// <Measure job={…} slot="port/p1/width"> asks for one thing: what it is, where it is on the drawing, the
// earlier readings, and the keypad or the words. Keeping it goes on to the next.
// Props: job, slot.  Calls: openForm, keepReading, go.
export function Measure({ job, slot }: MeasureProps) {
	const { form, fault } = useForm(job, slot);
	const ask = asked(slot);

	if (!ask) return <p class="fault">{measure.formError(slot)}</p>;
	const back = origin(job, ask);
	const leave = () => {
		const left = (s: string) => !readingsOf(job, s).some((r) => r.standing === "head");
		if (sizingWay(job, slot)) {
			const next = staysAt(job) ? "" : sizingNext(ask, left);
			return go(next === "" ? back : { screen: "measure", job, slot: next });
		}
		if (weldWay(job, slot)) return go(back);
		if (inspects(slot)) {
			const next = nextRead(job, slot, left, (s) => word(job, s));
			return go(next === "" ? back : { screen: "measure", job, slot: next });
		}
		const near = (s: string) => {
			const other = asked(s);
			return other !== null && sameRoute(origin(job, other), back);
		};
		const next = nextSlot(view.value?.todo ?? [], slot, left, (s) => word(job, s), near);
		go(next === "" ? back : { screen: "measure", job, slot: next });
	};
	// Along the engine's data, or along an entry; from there back, and not to what is to be decided yet.
	const sizingNext = ({ kind, id }: Asked, left: (s: string) => boolean) => {
		if (kind === "engine") return nextOfEngine(slot, left);
		const next = nextSlot(
			[],
			slot,
			left,
			(s) => word(job, s),
			() => false,
		);
		return next.startsWith(`${kind}/${id}/`) ? next : "";
	};
	const keep = async (r: ReadingInput, said: string) => {
		if (!form) return;
		const first = form.over.length === 0;
		await keepReading(form, r);
		tellSaved(`${ask.field.label} ${said}`);
		// a value that was there before was opened by itself, so the way leads back
		if (first) leave();
		else go(back);
	};
	const todo = view.value?.todo ?? [];
	const isAsked = todo.some((t) => t.slot === slot);
	return (
		<Asking
			owner={ownerTitle(job, slot)}
			title={ask.field.label}
			onBack={() => go(back)}
			fault={fault}
			extra={
				<>
					<PlannedHere job={job} slot={slot} />
					<span class="soft">{isAsked ? measure.left(todo.length - 1) : ""}</span>
				</>
			}
		>
			{form && ask.field.quantity === "word" && (
				<Word job={job} ask={ask} form={form} onKeep={keep} onSkip={leave} />
			)}
			{form && ask.field.quantity !== "word" && (
				<Figure job={job} ask={ask} form={form} onKeep={keep} onSkip={leave}>
					<Photos job={job} slot={slot} />
					<Readings job={job} slot={slot} />
				</Figure>
			)}
		</Asking>
	);
}

const sameRoute = (a: Route, b: Route) => a.screen === b.screen && a.id === b.id && a.slot === b.slot;

/** todoRoute leads to what is to be measured: a slot, or the page on which a missing entry is added. */
export function todoRoute(job: string, slot: string): Route {
	if (asked(slot)) return { screen: "measure", job, slot };
	const [kind = "", id = ""] = slot.split("/");
	if (kind === "tube") return id === "" ? { screen: "tubes", job } : { screen: "tube", job, id };
	if (kind === "element") return { screen: "tubes", job };
	if (outlinedBy(kind) !== "") return { screen: "rim", job, slot: `${outlinedBy(kind)}/${id}` };
	return { screen: "bank", job, id: kind === "bank" && id !== "" ? id : (listOf(job, "bank")[0]?.id ?? "A") };
}

/** todoWords names what is to be measured, or what is to be entered first. */
export function todoWords({ slot, where, label }: Todo): string {
	if (!asked(slot)) return text.job.entries(label, where);
	return [where, label].filter((s) => s !== "").join(", ");
}

/** origin is the page on which a slot stands in its list. */
export const origin = (job: string, ask: Asked): Route => ownerRoute(job, ask.slot);

// The page of the piece that begins with an element of a path.
function pieceRoute(job: string, element: string): Route {
	const pieces = (view.value?.plan.tubes ?? []).flatMap((t) => t.pieces ?? []);
	const id = pieces.find((p) => p.element === element)?.id;
	return id === undefined ? { screen: "bench", job } : { screen: "piece", job, id };
}

/** ownerRoute is the page on which what a slot belongs to stands. */
export function ownerRoute(job: string, slot: string): Route {
	const [kind = "", id = ""] = slot.split("/");
	const way = sizingWay(job, slot) ?? fixtureWay(job, slot) ?? weldWay(job, slot) ?? inspectWay(job, slot);
	if (way) return way;
	if (!kinds[kind] || kinds[kind]?.single) return { screen: "intake", job };
	if (kind === "bank") return { screen: asked(slot)?.field.group ? "flange" : kind, job, id };
	if (kind === "tube") return { screen: kind, job, id };
	if (kind === "pattern") return { screen: "item", job, slot: `${kind}/${id}` };
	const of = parentOf(kind);
	const parent = listOf(job, kind).find((e) => e.id === id)?.parent;
	if (outlinedBy(kind) !== "") return { screen: "rim", job, slot: `${of}/${parent ?? ""}`, id: "look" };
	if (of === "bank") return { screen: "bank", job, id: parent ?? "A" };
	if (kind === "element" && asked(slot)?.field.group) return pieceRoute(job, id);
	if (kind === "tack") return pieceRoute(job, word(job, `tack/${id}/element`));
	if (of === "tube") return { screen: kind === "element" ? "tube" : "mockup", job, id: parent ?? "" };
	// what belongs to no list of its own stands on the page of its entry
	return { screen: "item", job, slot: of === "" ? `${kind}/${id}` : `${of}/${parent ?? ""}` };
}

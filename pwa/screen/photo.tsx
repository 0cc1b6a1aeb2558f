import { useState } from "preact/hooks";
import { asked } from "../lib/fields";
import { may } from "../lib/pairing";
import {
	isElsewhere,
	isGone,
	keepMark,
	marksOf,
	type PhotoMark,
	type Photo as PhotoOf,
	type Places,
	photosOf,
	removeMark,
	type Shape,
	takenOut,
	takeOut,
	takeOutForGood,
	wherePhoto,
} from "../lib/photos";
import { moment, notSaved } from "../lib/say";
import { go, type Route, readDraft, route, saveDraft, whereIs } from "../lib/state";
import { photo as photoWords } from "../lib/textphoto";
import { Bars } from "../part/bars";
import { BenchOnly } from "../part/benchonly";
import { now } from "../part/now";
import { Page } from "../part/page";
import { PhotoSheet, type Place } from "../part/photosheet";
import { shownBy } from "../part/shownby";
import { offerUndo } from "../part/undo";
import { ownerRoute } from "./measure";

interface PhotoProps {
	job: string;
	slot: string;
	id: string;
}

// <Photo job={…} slot="port/p1/width" id={sha}> shows one photo large: marks are drawn on it and taken off,
// it is taken out, or taken out for good.
// Props: job, slot, id.  Calls: keepMark, removeMark, takeOut, takeOutForGood, go.
export function Photo({ job, slot, id }: PhotoProps) {
	const [tool, setTool] = useState<Shape | null>(null);
	const [first, setFirst] = useState<Place | null>(null);
	const [fault, setFault] = useState("");
	const photo = photosOf(job, slot).find((p) => p.sha === id) ?? takenOut(job).find((p) => p.sha === id);
	const back = placeOf(job, slot);
	// Taking out ends when it is on the disk; the person may have gone elsewhere by then.
	const leave = () => route.peek().id === id && go(back);
	const title = photoWords.title(shownBy(job, slot));
	if (!photo) {
		return (
			<Page title={title} back={back}>
				<p class="soft" data-test="photo-gone">
					{isGone(id) ? photoWords.gone : photoWords.none}
				</p>
			</Page>
		);
	}
	const draw = async (points: Places, words: string) => {
		if (!tool) return;
		setFirst(null);
		setFault("");
		try {
			offerUndo(photoWords.marked(photoWords.tools[tool]), await keepMark(photo, tool, points, words));
		} catch (e) {
			setFault(notSaved(e));
		}
	};
	const tap = (at: Place) => {
		if (!first || tool === "text") setFirst(at);
		else void draw([...first, ...at], "");
	};
	const pick = (next: Shape | null) => {
		setTool(next);
		setFirst(null);
	};
	return (
		<Page
			title={title}
			back={back}
			foot={
				<>
					{tool && (
						<p class="photo-hint" role="status">
							{first ? photoWords.secondPoint[tool] : photoWords.firstPoint[tool]}
						</p>
					)}
					<Tools tool={tool} onPick={pick} />
				</>
			}
		>
			<div class="photo-page">
				<div class="stack">
					<PhotoSheet photo={photo} tool={tool} first={first} onTap={tap} onDrag={(p) => draw(p, "")} />
					{tool === "text" && first && (
						<Words
							photo={photo}
							onPut={async (words) => {
								await draw([...first, ...first], words);
							}}
						/>
					)}
					{fault !== "" && (
						<p class="fault" role="alert">
							{fault}
						</p>
					)}
				</div>
				<div class="stack">
					<About photo={photo} />
					<Marks photo={photo} />
					<Out photo={photo} onOut={leave} />
				</div>
			</div>
		</Page>
	);
}

// placeOf is where the strip stands that the photo is in.
function placeOf(job: string, slot: string): Route {
	if (slot.startsWith("job/")) return { screen: "photos", job };
	return asked(slot) ? { screen: "measure", job, slot } : ownerRoute(job, slot);
}

const TOOLS: (Shape | null)[] = [null, "arrow", "circle", "line", "text"];

function Tools({ tool, onPick }: { tool: Shape | null; onPick: (tool: Shape | null) => void }) {
	return (
		<fieldset class="tools photo-tools">
			<legend class="aside">{photoWords.marks}</legend>
			{TOOLS.map((t) => (
				<button
					key={t}
					type="button"
					class={t === tool ? "picked" : ""}
					aria-pressed={t === tool}
					data-test={`tool:${t ?? "look"}`}
					onClick={() => onPick(t)}
				>
					{t ? photoWords.tools[t] : photoWords.look}
				</button>
			))}
		</fieldset>
	);
}

// What is half typed survives the page, as everywhere.
function Words({ photo, onPut }: { photo: PhotoOf; onPut: (words: string) => Promise<void> }) {
	const key = `${photo.job} mark ${photo.sha}`;
	const [typed, setTyped] = useState(() => readDraft(key));
	return (
		<form
			class="row"
			onSubmit={(e) => {
				e.preventDefault();
				if (typed.trim() !== "") void onPut(typed.trim()).then(() => saveDraft(key, ""));
			}}
		>
			<input
				type="text"
				class="grow"
				autoComplete="off"
				maxLength={120}
				aria-label={photoWords.words}
				data-test="mark-words"
				value={typed}
				onInput={(e) => {
					setTyped(e.currentTarget.value);
					saveDraft(key, e.currentTarget.value);
				}}
			/>
			<button type="submit" class="primary" data-test="mark-put" disabled={typed.trim() === ""}>
				{photoWords.put}
			</button>
		</form>
	);
}

function About({ photo }: { photo: PhotoOf }) {
	const where = wherePhoto(photo);
	return (
		<section class="card stack">
			<p>
				<strong>{photo.person}</strong>, {moment(photo.at, now.value)}
				{photo.taken !== "" && (
					<span class="soft"> · {photoWords.camera(photo.taken.replace("T", " "))}</span>
				)}
			</p>
			{where && (
				<span data-test="photo-where" data-where={where}>
					<Bars at={where} />
				</span>
			)}
			{isElsewhere(photo) && <p class="soft">{photoWords.elsewhere(photo.person)}</p>}
		</section>
	);
}

function Marks({ photo }: { photo: PhotoOf }) {
	const marks = marksOf(photo.job, photo.sha);
	if (marks.length === 0) return null;
	const remove = async (m: PhotoMark) => {
		const undo = await removeMark(photo.job, m.id);
		offerUndo(photoWords.removedMark(named(m)), undo);
	};
	return (
		<section class="card stack photo-marks">
			<h2>{photoWords.marks}</h2>
			<ul>
				{marks.map((m) => (
					<li key={m.id} class="row" data-test={`mark:${m.shape}`}>
						<span class="grow">
							<strong>{named(m)}</strong>
							<span class="soft"> · {photoWords.took(m.person, moment(m.at, now.value))}</span>
						</span>
						<Bars at={whereIs(m.id)} words="" />
						<button
							type="button"
							class="tool tool-remove"
							aria-label={photoWords.removeMark(named(m))}
							data-test={`unmark:${m.shape}`}
							onClick={() => remove(m).catch(() => {})}
						>
							<svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true" focusable="false">
								<path d="M6 6l12 12M18 6 6 18" fill="none" stroke="currentColor" stroke-width="2.5" />
							</svg>
						</button>
					</li>
				))}
			</ul>
		</section>
	);
}

const named = (m: PhotoMark) => photoWords.mark(photoWords.tools[m.shape], m.text);

// Out of sight with a way back, or out for good without one: that wants a word typed.
function Out({ photo, onOut }: { photo: PhotoOf; onOut: () => unknown }) {
	const [why, setWhy] = useState("");
	const [word, setWord] = useState("");
	const [fault, setFault] = useState("");
	const out = async () => {
		const undo = await takeOut(photo);
		offerUndo(photoWords.takenOut, undo);
		onOut();
	};
	const forGood = async () => {
		try {
			await takeOutForGood(photo, why.trim());
			onOut();
		} catch (e) {
			setFault(notSaved(e));
		}
	};
	return (
		<section class="card stack">
			<button type="button" data-test="photo-out" onClick={() => out().catch(() => {})}>
				{photoWords.takeOut}
			</button>
			<BenchOnly kind="deny" />
			{may("deny") && (
				<details>
					<summary data-test="for-good">{photoWords.forGood}</summary>
					<form
						class="stack"
						onSubmit={(e) => {
							e.preventDefault();
							if (word.trim() === photoWords.confirmWord) void forGood();
						}}
					>
						<p>{photoWords.forGoodWhy}</p>
						<label>
							<span class="cell-label">{photoWords.reason}</span>
							<input
								type="text"
								autoComplete="off"
								data-test="deny-why"
								value={why}
								onInput={(e) => setWhy(e.currentTarget.value)}
							/>
						</label>
						<label>
							<span class="cell-label">{photoWords.confirm(photoWords.confirmWord)}</span>
							<input
								type="text"
								autoComplete="off"
								autoCapitalize="off"
								data-test="deny-word"
								value={word}
								onInput={(e) => setWord(e.currentTarget.value)}
							/>
						</label>
						<button
							type="submit"
							class="stop-button"
							data-test="deny"
							disabled={word.trim() !== photoWords.confirmWord}
						>
							{photoWords.forGood}
						</button>
						{fault !== "" && (
							<p class="fault" role="alert">
								{fault}
							</p>
						)}
					</form>
				</details>
			)}
		</section>
	);
}

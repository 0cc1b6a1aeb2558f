import { signal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Asked } from "../lib/fields";
import { allowed, judge, type Verdict } from "../lib/judge";
import { asRead, notSaved, plain, type Units } from "../lib/say";
import { readDraft, saveDraft, units } from "../lib/state";
import { text } from "../lib/text";
import { measure } from "../lib/textmeasure";
import { AxesDrawing, axisOf } from "../part/axesdrawing";
import { BankDrawing } from "../part/bankdrawing";
import { Echo } from "../part/echo";
import { Keypad } from "../part/keypad";
import { bankOf } from "../part/known";
import { PhotoButton } from "../part/photobutton";
import { PieceDrawing } from "../part/piecedrawing";
import { resolutionOf, type Tool, toolsFor } from "../part/tools";
import type { EntryProps } from "./entry";

/** The tool in the hand; it stays until another is taken. */
const inHand = signal("caliper");

/** The unit last chosen on the pad; it stays until another is chosen. */
const onPad = signal<Units | null>(null);

interface FigureProps extends EntryProps {
	children?: ComponentChildren;
	drawing?: (mm: number | null) => ComponentChildren;
	photo?: string;
	words?: { keep: string; skip: string };
}

// <Figure job ask form onKeep onSkip> takes a length, an angle or a number by keypad or keyboard. Each key
// goes to the draft; what was understood is echoed at once; doubt is asked, never decided.
// Props: job, ask, form, children (earlier readings), drawing (in place of the usual one, of the value being
// typed), photo (slot of its photos where that is not the asked one), words (on its keys).
// Calls: saveDraft, onKeep once per tap, onSkip.
export function Figure({
	job,
	ask,
	form,
	onKeep,
	onSkip,
	children,
	drawing,
	photo = ask.slot,
	words = { keep: text.keep, skip: measure.skip },
}: FigureProps) {
	const { field } = ask;
	const unitKey = `${form.key} unit`;
	const [raw, setRaw] = useState(form.draft);
	const [unit, setUnit] = useState<Units>(() => asUnits(readDraft(unitKey)) ?? onPad.value ?? units.value);
	const [agreed, setAgreed] = useState(""); // the doubtful text that the person confirmed
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");
	const input = useRef<HTMLInputElement>(null);

	const verdict = judge(field, raw, unit);
	const isAgreed = verdict.is === "ask" && agreed === `${raw} ${unit}`;
	const ready = verdict.is === "good" || isAgreed;
	const value = "typed" in verdict ? verdict.typed.v / 1e6 : null;
	const tools = toolsFor(ask);
	const tool = tools.find((t) => t.name === inHand.value) ?? tools.at(-1);

	useLayoutEffect(() => {
		const el = input.current;
		el?.focus();
		el?.setSelectionRange(el.value.length, el.value.length);
	}, []);

	const typedAs = (next: string) => {
		setRaw(next);
		setFault("");
		saveDraft(form.key, next, form);
	};
	// edit puts signs where the cursor is, as a keyboard would.
	const edit = (signs: string) => {
		const el = input.current;
		if (!el) return;
		const from = el.selectionStart ?? el.value.length;
		const to = el.selectionEnd ?? from;
		if (signs === "" && from === to) el.setRangeText("", Math.max(0, from - 1), to, "end");
		else el.setRangeText(signs, from, to, "end");
		typedAs(el.value);
	};
	const swapUnit = () => {
		const next = unit === "mm" ? "in" : "mm";
		setUnit(next);
		onPad.value = next;
		saveDraft(unitKey, next);
	};
	const keep = async () => {
		if (!ready || busy || !("typed" in verdict)) return;
		setBusy(true);
		const t = verdict.typed;
		const res = resolutionOf(tool, t);
		try {
			await onKeep(
				{ text: t.text, unit: t.unit, v: t.v, res, quantity: quantityOf(ask), tool: tool?.name ?? "" },
				said(ask, verdict),
			);
			saveDraft(unitKey, "");
		} catch (e) {
			setFault(notSaved(e));
		}
		setBusy(false);
	};

	return (
		<form
			class="measure-body"
			onSubmit={(e) => {
				e.preventDefault();
				keep();
			}}
		>
			<div class="measure-look">
				<div class="sheet">
					{drawing?.(value) ?? (
						<Drawing job={job} ask={ask} mm={field.quantity === "length" ? value : null} value={value} />
					)}
				</div>
				{field.help && <p class="help">{field.help}</p>}
				{children}
			</div>
			{tools.length > 0 && <Tools tools={tools} tool={tool} />}
			<div class="measure-type">
				<div class="sheet typed-box">
					<input
						ref={input}
						type="text"
						inputMode="none"
						autoComplete="off"
						autoCapitalize="off"
						spellcheck={false}
						enterKeyHint="next"
						class="typed"
						data-test="typed"
						aria-label={measure.typed(field.label)}
						aria-invalid={verdict.is === "fault"}
						value={raw}
						onInput={(e) => typedAs(e.currentTarget.value)}
					/>
					<Echo field={field} verdict={verdict} />
					<div class="say-row">
						<Say verdict={verdict} fault={fault} isAgreed={isAgreed} range={allowed(field)} />
						{verdict.is === "ask" && !isAgreed && (
							<button
								type="button"
								class="ask"
								data-test="ask-confirm"
								onClick={() => {
									setAgreed(`${raw} ${unit}`);
									input.current?.focus();
								}}
							>
								{measure.askYes}
							</button>
						)}
					</div>
				</div>
				<Keypad
					fractions={field.quantity === "length"}
					minus={field.low < 0}
					whole={field.whole === true}
					unit={field.quantity === "length" ? unit : ""}
					onType={edit}
					onBack={() => edit("")}
					onUnit={swapUnit}
				/>
				<div class="keep-row">
					<button type="button" class="skip" data-test="skip" onClick={onSkip}>
						{words.skip}
					</button>
					<PhotoButton job={job} slot={photo} of={photo === ask.slot ? form.name : ""} />
					<button type="submit" class="primary keep" data-test="keep" disabled={!ready || busy}>
						{busy ? measure.saving : words.keep}
					</button>
				</div>
			</div>
		</form>
	);
}

interface SayProps {
	verdict: Verdict;
	fault: string;
	isAgreed: boolean;
	range: string;
}

// One line below the echo: what is wrong, what is doubtful, or what is allowed.
function Say({ verdict, fault, isAgreed, range }: SayProps) {
	if (fault !== "")
		return (
			<p class="say fault" role="alert" data-test="not-saved">
				{fault}
			</p>
		);
	if (verdict.is === "fault")
		return (
			<p class="say fault" role="status" data-test="fault">
				{verdict.why}
			</p>
		);
	if (verdict.is === "ask") {
		return (
			<p class="say doubt" role="status" data-test="ask">
				{isAgreed ? measure.confirmed : verdict.question}
			</p>
		);
	}
	return <p class="say soft">{range}</p>;
}

function Tools({ tools, tool }: { tools: Tool[]; tool: Tool | undefined }) {
	return (
		<fieldset class="tools">
			<legend class="aside">{measure.tool}</legend>
			{tools.map((t) => (
				<button
					type="button"
					key={t.name}
					class={t === tool ? "picked" : ""}
					aria-pressed={t === tool}
					data-test={`tool-${t.name === "" ? "typed" : t.name.replace(" ", "-")}`}
					onPointerDown={(e) => e.preventDefault()}
					onClick={() => {
						inHand.value = t.name;
					}}
				>
					{t.label}
				</button>
			))}
		</fieldset>
	);
}

function Drawing({
	job,
	ask,
	mm,
	value,
}: {
	job: string;
	ask: Asked;
	mm: number | null;
	value: number | null;
}) {
	if (ask.kind === "bolt" || ask.kind === "port") {
		const trial = { slot: ask.slot, mm: ask.field.quantity === "angle" ? value : mm };
		return <BankDrawing job={job} bank={bankOf(job, ask.kind, ask.id)} trial={trial} />;
	}
	const label = labelOf(ask, mm, value);
	if (axisOf(ask) !== "") return <AxesDrawing job={job} ask={ask} label={label} />;
	return <PieceDrawing job={job} slot={ask.slot} label={label} />;
}

function labelOf(ask: Asked, mm: number | null, value: number | null): string {
	if (value === null) return "?";
	if (mm !== null) return asRead(mm, units.value);
	return ask.field.quantity === "angle" ? `${plain(value)}°` : plain(value);
}

function said(ask: Asked, verdict: Verdict): string {
	if (!("typed" in verdict)) return "";
	const v = verdict.typed.v / 1e6;
	if (ask.field.quantity === "length") return `${asRead(v, "mm")} = ${asRead(v, "in")}`;
	return ask.field.quantity === "angle" ? `${plain(v)}°` : `${plain(v)} ${ask.field.unit ?? ""}`.trim();
}

const quantityOf = (ask: Asked) =>
	ask.field.quantity === "length" || ask.field.quantity === "angle" ? ask.field.quantity : "number";

const asUnits = (s: string): Units | null => (s === "mm" || s === "in" ? s : null);

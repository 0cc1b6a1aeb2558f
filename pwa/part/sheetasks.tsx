import { useState } from "preact/hooks";
import { plain, value } from "../lib/say";
import { baseOf, figuresOf, keyWith, type SheetAsk } from "../lib/sheets";
import { go, units } from "../lib/state";
import { sheet } from "../lib/textsheet";
import { Keypad } from "./keypad";

/** What a figure is by its unit. */
const quantity: Record<string, string | undefined> = { mm: "length", "°": "angle" };

interface SheetAsksProps {
	job: string;
	sheetKey: string;
	asks: SheetAsk[];
}

// <SheetAsks job={…} sheetKey="saddle-t1" asks={…}> asks for the figures that stand behind the key of a sheet, such as
// the OD of a branch, and goes to the sheet with them. They are of this sheet, not of the job: nothing is kept.
// Props: job, sheetKey (figures behind it are shown again), asks.  Calls: go.
export function SheetAsks({ job, sheetKey, asks }: SheetAsksProps) {
	const [typed, setTyped] = useState(() => figuresOf(sheetKey));
	const [at, setAt] = useState(asks[0]?.name ?? "");
	const [unit, setUnit] = useState<"mm" | "in">(units.value === "in" ? "in" : "mm");
	const t = sheet.asks;
	const ask = asks.find((a) => a.name === at);
	const type = (name: string, text: string) => setTyped({ ...typed, [name]: text });
	const add = (signs: string) => type(at, (typed[at] ?? "") + signs);
	const back = () => type(at, (typed[at] ?? "").slice(0, -1));
	const make = () => go({ screen: "sheets", job, id: keyWith(baseOf(sheetKey), asks, typed, unit) });
	return (
		<form
			class="card stack"
			onSubmit={(e) => {
				e.preventDefault();
				make();
			}}
		>
			<h2>{t.title}</h2>
			<p class="soft">{t.why}</p>
			<div class="row wrap">
				{asks.map((a) => (
					<label key={a.name} class="grow">
						<span class="cell-label">{t.of(a.label, a.unit === "mm" ? unit : a.unit)}</span>
						<input
							type="text"
							inputMode="none"
							autoComplete="off"
							spellcheck={false}
							data-test={`ask:${a.name}`}
							placeholder={a.default}
							value={typed[a.name] ?? ""}
							onFocus={() => setAt(a.name)}
							onInput={(e) => type(a.name, e.currentTarget.value)}
						/>
						<span class="soft small">
							{t.range(plain(a.low), value(a.high, quantity[a.unit] ?? "number"))}
						</span>
					</label>
				))}
			</div>
			{ask && (
				<Keypad
					fractions={ask.unit === "mm"}
					minus={ask.low < 0}
					whole={ask.unit === ""}
					unit={ask.unit === "mm" ? unit : ""}
					onType={add}
					onBack={back}
					onUnit={() => setUnit(unit === "mm" ? "in" : "mm")}
				/>
			)}
			<button type="submit" class="primary" data-test="asks-make">
				{t.make}
			</button>
		</form>
	);
}

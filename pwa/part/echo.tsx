import type { Field } from "../lib/fields";
import type { Verdict } from "../lib/judge";
import { asRead, fraction, plain } from "../lib/say";
import { measure } from "../lib/textmeasure";

/** Signs of both units that still stand in one line beside the keys. */
const LONG = 20;

interface EchoProps {
	field: Field;
	verdict: Verdict;
}

// <Echo field={…} verdict={…}> repeats large what was understood, lengths in both units, before it is kept.
// Props: field, verdict (of judge).  Calls: nothing.
export function Echo({ field, verdict }: EchoProps) {
	const typed = "typed" in verdict ? verdict.typed : null;
	const both =
		typed === null ? "" : ["mm", "in"].map((u) => asRead(typed.v / 1e6, u as "mm" | "in")).join("");
	const isLong = field.quantity === "length" && both.length > LONG;
	return (
		<output
			class={`echo echo-${verdict.is} ${isLong ? "echo-long" : ""}`}
			data-test="echo"
			aria-live="polite"
			aria-atomic="true"
		>
			{typed === null && <span class="echo-wait">{measure.echoEmpty}</span>}
			{typed !== null && field.quantity === "length" && <Both nm={typed.v} first={typed.unit} />}
			{typed !== null && field.quantity === "angle" && <span>{plain(typed.v / 1e6)}°</span>}
			{typed !== null && field.quantity === "number" && (
				<span>
					{plain(typed.v / 1e6)} {field.unit ?? ""}
				</span>
			)}
		</output>
	);
}

// The unit it was typed in comes first.
function Both({ nm, first }: { nm: number; first: string }) {
	const metric = asRead(nm / 1e6, "mm");
	const inch = asRead(nm / 1e6, "in");
	const isInch = first === "in" || first === "ft";
	return (
		<>
			<span>{isInch ? inch : metric}</span>
			<span class="echo-equals">{measure.equals}</span>
			<span>{isInch ? metric : inch}</span>
			<span class="echo-fraction">{measure.nearest(fraction(nm / 1e6))}</span>
		</>
	);
}

import { measure } from "../lib/textmeasure";

interface KeypadProps {
	fractions: boolean;
	minus: boolean;
	whole: boolean;
	unit: "mm" | "in" | "";
	onType: (signs: string) => void;
	onBack: () => void;
	onUnit: () => void;
}

// <Keypad fractions minus={false} whole={false} unit="in"> is the keypad for gloves: digits, point and, for lengths,
// fractions and the unit that a figure without one is in. It types; it knows nothing of values.
// Props: fractions (the length keys), minus, whole (no point), unit ("" for what is no length).
// Calls: onType(signs) per key, onBack, onUnit.
export function Keypad({ fractions, minus, whole, unit, onType, onBack, onUnit }: KeypadProps) {
	const key = (signs: string, name: string, say?: string) => (
		<Key name={name} label={signs} say={say} onTap={() => onType(signs)} />
	);
	const digit = (d: string) => key(d, d);
	const back = <Key name="back" label="⌫" say={measure.keys.back} onTap={onBack} />;
	const point = key(".", "point", measure.keys.point);
	const minusKey = <Key name="minus" label="−" say={measure.keys.minus} onTap={() => onType("-")} />;
	const last = whole ? <span /> : point;
	if (!fractions) {
		return (
			<div class={`keypad ${minus ? "keypad-signed" : "keypad-plain"}`}>
				{["7", "8", "9"].map(digit)}
				{minus && back}
				{["4", "5", "6"].map(digit)}
				{minus && minusKey}
				{["1", "2", "3"].map(digit)}
				{minus ? last : null}
				{minus ? <span /> : last}
				{digit("0")}
				{!minus && back}
			</div>
		);
	}
	return (
		<div class="keypad keypad-length">
			{["7", "8", "9"].map(digit)}
			{back}
			<Fraction n={8} onType={onType} />
			{["4", "5", "6"].map(digit)}
			{key("/", "slash", measure.keys.slash)}
			<Fraction n={16} onType={onType} />
			{["1", "2", "3"].map(digit)}
			<Key name="unit" label={unit} say={measure.keys.unit(unit)} onTap={onUnit} />
			<Fraction n={32} onType={onType} />
			{digit("0")}
			{point}
			<Key
				name="space"
				label="␣"
				say={measure.keys.space}
				wide={minus ? undefined : "w2"}
				onTap={() => onType(" ")}
			/>
			{minus && minusKey}
			<Fraction n={64} onType={onType} />
		</div>
	);
}

function Fraction({ n, onType }: { n: number; onType: (signs: string) => void }) {
	return (
		<Key name={`over-${n}`} label={`/${n}`} say={measure.keys.fraction(n)} onTap={() => onType(`/${n}`)} />
	);
}

interface KeyProps {
	name: string;
	label: string;
	say?: string | undefined;
	wide?: string | undefined;
	onTap: () => void;
}

function Key({ name, label, say, wide, onTap }: KeyProps) {
	return (
		<button
			type="button"
			class={`key ${wide ?? ""}`}
			aria-label={say ?? label}
			data-test={`key-${name}`}
			// the field keeps its cursor while keys are tapped
			onPointerDown={(e) => e.preventDefault()}
			onClick={onTap}
			tabIndex={-1}
		>
			{label}
		</button>
	);
}

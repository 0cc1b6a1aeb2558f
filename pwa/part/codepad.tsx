import { CODE_LENGTH, CODE_SIGNS } from "../lib/code";
import { pair } from "../lib/textpair";

interface CodePadProps {
	code: string;
	onSign: (sign: string) => void;
	onBack: () => void;
}

// <CodePad code="ABCD23"> are the keys of a pairing code: no sign that is taken for another, large enough
// for gloves. It types; it knows nothing of codes.
// Props: code (what is there; a full one takes no more).  Calls: onSign per key, onBack.
export function CodePad({ code, onSign, onBack }: CodePadProps) {
	return (
		<div class="codepad">
			{CODE_SIGNS.map((sign) => (
				<button
					key={sign}
					type="button"
					class="key"
					data-test={`code-${sign}`}
					tabIndex={-1}
					disabled={code.length === CODE_LENGTH}
					onPointerDown={(e) => e.preventDefault()}
					onClick={() => onSign(sign)}
				>
					{sign}
				</button>
			))}
			<button
				type="button"
				class="key"
				aria-label={pair.back}
				data-test="code-back"
				tabIndex={-1}
				onPointerDown={(e) => e.preventDefault()}
				onClick={onBack}
			>
				⌫
			</button>
		</div>
	);
}

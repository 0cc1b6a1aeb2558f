import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { afterRefusal, CODE_LENGTH, groups, NotPaired, typedCode } from "../lib/code";
import { pair } from "../lib/textpair";
import { CodePad } from "./codepad";

interface CodeFormProps {
	label: string;
	given?: string;
	wait?: string;
	onCode: (code: string) => Promise<void>;
	children?: ComponentChildren;
}

// <CodeForm label="Code from the shop machine" onCode={…}> takes a pairing code from a keyboard or from its
// own keys, and says why it was refused until the next sign, which starts a new code.
// Props: label; given (a code that a link brought: nothing is typed); wait (why it cannot be sent yet);
// children (above the field, or instead of it).  Calls: onCode, which rejects with why not.
export function CodeForm({ label, given = "", wait = "", onCode, children }: CodeFormProps) {
	const [typed, setTyped] = useState("");
	const [fault, setFault] = useState<{ why: string; of: string } | null>(null);
	const [busy, setBusy] = useState(false);
	const { code, not } = typedCode(typed);
	const shown = not === "" ? groups(code) : typed;
	const isWhole = given !== "" || code.length === CODE_LENGTH;
	const isRefused = fault !== null;

	const type = (s: string) => {
		setFault(null);
		setTyped(s);
	};
	const send = async () => {
		if (wait !== "" || !isWhole || busy) return;
		setBusy(true);
		setFault(null);
		try {
			await onCode(given || code);
			setTyped("");
		} catch (e) {
			const isForWall = e instanceof NotPaired && e.why === "wall";
			const of = isForWall ? pair.wallAt(location.host) : "";
			setFault({ why: e instanceof Error ? e.message : String(e), of });
		}
		setBusy(false);
	};
	return (
		<form
			class="card stack pair-code"
			onSubmit={(e) => {
				e.preventDefault();
				void send();
			}}
		>
			{children}
			{given === "" && (
				<>
					<label>
						<span class="cell-label">{label}</span>
						<input
							type="text"
							class="pair-typed"
							inputMode="none"
							autoComplete="off"
							autoCapitalize="characters"
							spellcheck={false}
							data-test="pair-typed"
							value={shown}
							onInput={({ currentTarget: { value } }) => type(isRefused ? afterRefusal(shown, value) : value)}
						/>
					</label>
					<CodePad
						code={isRefused ? "" : code}
						onSign={(s) => type(isRefused ? s : code + s)}
						onBack={() => type(code.slice(0, -1))}
					/>
				</>
			)}
			<div class="row pair-end">
				<div class="grow">
					<p class="fault" role="alert" data-test="pair-fault">
						{fault ? `${fault.why} ${fault.of}` : not === "" ? "" : pair.notInCode(not)}
					</p>
					{wait !== "" && (
						<p class="soft" data-test="pair-wait">
							{wait}
						</p>
					)}
				</div>
				<button
					type="submit"
					class="primary pair-claim"
					data-test="pair-claim"
					disabled={wait !== "" || !isWhole || busy}
				>
					{busy ? pair.claiming : pair.claim}
				</button>
			</div>
		</form>
	);
}

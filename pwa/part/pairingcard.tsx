import { useState } from "preact/hooks";
import { isConfirmed, pairing, unpair, waiting } from "../lib/pairing";
import type { SavedFile } from "../lib/state";
import { go } from "../lib/state";
import { text } from "../lib/text";
import { pair } from "../lib/textpair";
import { file as fileWords } from "../lib/textsaved";

type Asked = { records: number; photos: number } | null;

// <PairingCard> says as what this tablet is paired, and holds the way to the pairing page and out of the
// pairing. With something unsent it asks for a typed word and saves the file of everything first.
// Props: none.  Calls: unpair, go.
export function PairingCard() {
	const { hasToken, stand, role, name } = pairing.value;
	const [asked, setAsked] = useState<Asked>(null);
	const [typed, setTyped] = useState("");
	const [busy, setBusy] = useState(false);
	const [said, setSaid] = useState("");
	const [made, setMade] = useState<{ url: string; name: string } | null>(null);
	if (!hasToken && stand !== "barred" && made === null && said === "") return null;

	const begin = async () => {
		setSaid("");
		setAsked(await waiting());
	};
	const end = async () => {
		setBusy(true);
		try {
			await unpair(typed, async (saved) => setMade(handOver(saved)));
			setAsked(null);
			setTyped("");
			setSaid(pair.unpairedNow);
		} catch (e) {
			setSaid(pair.notUnpaired(e instanceof Error ? e.message : String(e)));
		}
		setBusy(false);
	};
	const unsent = (asked?.records ?? 0) + (asked?.photos ?? 0);
	return (
		<section class="card stack" data-test="pairing" data-paired={hasToken}>
			<h2>{pair.card}</h2>
			{hasToken ? (
				<dl class="facts">
					<div>
						<dt>{pair.asName}</dt>
						<dd data-test="paired-name">{pair.nameInShop(name)}</dd>
					</div>
					<div>
						<dt>{pair.asRole}</dt>
						<dd data-test="paired-role">{pair.roles[role] ?? (role || text.none)}</dd>
					</div>
				</dl>
			) : (
				<p>{pair.unpaired}</p>
			)}
			{said !== "" && (
				<p role="status" data-test="unpair-said" class={hasToken ? "fault" : ""}>
					{said}
				</p>
			)}
			{made && (
				<a class="button" data-test="unpair-file" href={made.url} download={made.name}>
					{fileWords.take}
				</a>
			)}
			{asked && hasToken && (
				<form
					class="stack"
					onSubmit={(e) => {
						e.preventDefault();
						void end();
					}}
				>
					<p>{pair.unpairWhy}</p>
					{unsent > 0 && (
						<>
							<p class="doubt" data-test="unpair-unsent">
								{pair.unpairUnsent(asked.records, asked.photos)}
							</p>
							<label>
								<span class="cell-label">{pair.confirm(pair.confirmWord)}</span>
								<input
									type="text"
									autoComplete="off"
									autoCapitalize="off"
									data-test="unpair-word"
									value={typed}
									onInput={(e) => setTyped(e.currentTarget.value)}
								/>
							</label>
						</>
					)}
					<div class="row">
						<button
							type="submit"
							data-test="unpair-yes"
							disabled={busy || (unsent > 0 && !isConfirmed(typed))}
						>
							{busy ? pair.unpairing : pair.unpair}
						</button>
						<button type="button" onClick={() => setAsked(null)}>
							{text.cancel}
						</button>
					</div>
				</form>
			)}
			{!asked && (
				<div class="row wrap">
					<button type="button" data-test="to-pair" onClick={() => go({ screen: "pair" })}>
						{hasToken ? pair.again : pair.go}
					</button>
					{hasToken && (
						<button type="button" data-test="unpair" onClick={() => void begin()}>
							{pair.unpair}
						</button>
					)}
				</div>
			)}
		</section>
	);
}

// handOver saves the file as a download; its address stays for a second try.
function handOver({ file }: SavedFile): { url: string; name: string } {
	const url = URL.createObjectURL(file);
	const link = document.createElement("a");
	link.href = url;
	link.download = file.name;
	link.click();
	return { url, name: file.name };
}

import { useState } from "preact/hooks";
import { type SavedFile, saveFile } from "../lib/state";
import { file as fileWords } from "../lib/textsaved";
import { HandOver } from "./handover";

// <SaveFile> makes one file of everything this tablet holds and hands it over. The app stays where it is.
// Props: none.  Calls: saveFile.
export function SaveFile() {
	const [made, setMade] = useState<SavedFile | null>(null);
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");

	const make = async () => {
		setBusy(true);
		setFault("");
		try {
			setMade(await saveFile());
		} catch (e) {
			setFault(fileWords.cannot(e instanceof Error ? e.message : String(e)));
		}
		setBusy(false);
	};
	return (
		<div class="save-file stack">
			<button type="button" data-test="save-file" disabled={busy} onClick={make}>
				{busy ? fileWords.making : fileWords.make}
			</button>
			{made && (
				<HandOver file={made.file} test="file">
					{fileWords.holds(made.contents.records, made.contents.photos, made.contents.drafts)}
					{made.contents.unread > 0 && ` ${fileWords.unread(made.contents.unread)}`}
				</HandOver>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</div>
	);
}

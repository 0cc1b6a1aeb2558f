import { useEffect, useState } from "preact/hooks";
import { type SavedFile, saveFile } from "../lib/state";
import { text } from "../lib/text";

// <SaveFile> makes one file of everything this tablet holds and hands it over: to the tablet's share
// sheet where there is one, or as a download. The app stays where it is.
// Props: none.  Calls: saveFile.
export function SaveFile() {
	const [made, setMade] = useState<(SavedFile & { url: string }) | null>(null);
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");
	useEffect(() => () => URL.revokeObjectURL(made?.url ?? ""), [made]);

	const make = async () => {
		setBusy(true);
		setFault("");
		try {
			const got = await saveFile();
			setMade({ ...got, url: URL.createObjectURL(got.file) });
		} catch (e) {
			setFault(text.file.cannot(e instanceof Error ? e.message : String(e)));
		}
		setBusy(false);
	};
	const share = async (file: File) => {
		try {
			await navigator.share({ files: [file] });
		} catch (e) {
			if (!(e instanceof DOMException && e.name === "AbortError")) setFault(text.file.cannotShare);
		}
	};
	return (
		<div class="save-file stack">
			<button type="button" data-test="save-file" disabled={busy} onClick={make}>
				{busy ? text.file.making : text.file.make}
			</button>
			{made && (
				<div class="row" data-test="file-made">
					<span class="grow">
						{text.file.holds(made.contents.records, made.contents.photos, made.contents.drafts)}
						{made.contents.unread > 0 && ` ${text.file.unread(made.contents.unread)}`}
					</span>
					{canShare(made.file) && (
						<button type="button" data-test="file-share" onClick={() => share(made.file)}>
							{text.file.share}
						</button>
					)}
					<a class="button" data-test="file-link" href={made.url} download={made.file.name}>
						{text.file.take}
					</a>
				</div>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</div>
	);
}

const canShare = (file: File) => navigator.canShare?.({ files: [file] }) ?? false;

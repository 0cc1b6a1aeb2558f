import type { ComponentChildren } from "preact";
import { useEffect, useState } from "preact/hooks";
import { file as fileWords } from "../lib/textsaved";

interface HandOverProps {
	file: File;
	test: string;
	children: ComponentChildren;
}

// <HandOver file={…} test="file">what is in it</HandOver> hands a file over that the app has made: to the
// tablet's share sheet where there is one, or as a download.
// Props: file, test (its controls are TEST-share and TEST-link), children.  Calls: nothing.
export function HandOver({ file, test, children }: HandOverProps) {
	const [url, setURL] = useState("");
	const [fault, setFault] = useState("");
	useEffect(() => {
		const made = URL.createObjectURL(file);
		setURL(made);
		return () => URL.revokeObjectURL(made);
	}, [file]);
	const share = async () => {
		try {
			await navigator.share({ files: [file] });
		} catch (e) {
			if (!(e instanceof DOMException && e.name === "AbortError")) setFault(fileWords.cannotShare);
		}
	};
	return (
		<div class="stack">
			<div class="row" data-test={`${test}-made`}>
				<span class="grow">{children}</span>
				{canShare(file) && (
					<button type="button" data-test={`${test}-share`} onClick={share}>
						{fileWords.share}
					</button>
				)}
				{url !== "" && (
					<a class="button" data-test={`${test}-link`} href={url} download={file.name}>
						{fileWords.take}
					</a>
				)}
			</div>
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</div>
	);
}

const canShare = (file: File) => navigator.canShare?.({ files: [file] }) ?? false;

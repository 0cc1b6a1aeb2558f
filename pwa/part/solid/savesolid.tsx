import { useEffect, useState } from "preact/hooks";
import { fileName, megabytes } from "../../lib/say";
import type { Item } from "../../lib/solid/model";
import { file as fileWords } from "../../lib/textsaved";
import { solid } from "../../lib/textsolid";
import { HandOver } from "../handover";

interface SaveSolidProps {
	items: Item[];
	name: string;
}

// <SaveSolid items={…} name="Heron four"> makes a 3-D file of the header and hands it over.
// Props: items (what is drawn; what belongs to the header is taken), name (of the job).  Calls: nothing.
export function SaveSolid({ items, name }: SaveSolidProps) {
	const [made, setMade] = useState<File | null>(null);
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");
	const tubes = items.filter((i) => i.coat.coat === "tube").length;
	// biome-ignore lint/correctness/useExhaustiveDependencies: a file of another state of the job is not handed over
	useEffect(() => setMade(null), [items]);
	const make = async () => {
		setBusy(true);
		setFault("");
		try {
			const { glbOf } = await import("./glb");
			setMade(await glbOf(items, `${fileName(name, "header")}.glb`));
		} catch (e) {
			setFault(fileWords.cannot(e instanceof Error ? e.message : String(e)));
		}
		setBusy(false);
	};
	return (
		<section class="card stack">
			<h2>{solid.file}</h2>
			<p class="soft small">{solid.fileWhy}</p>
			{tubes === 0 && <p>{solid.nothingToSave}</p>}
			<button type="button" data-test="solid-file" disabled={busy || tubes === 0} onClick={make}>
				{busy ? solid.making : solid.make}
			</button>
			{made && (
				<HandOver file={made} test="solid-file">
					{solid.holds(tubes, megabytes(made.size))}
				</HandOver>
			)}
			{fault !== "" && (
				<p class="fault" role="alert">
					{fault}
				</p>
			)}
		</section>
	);
}

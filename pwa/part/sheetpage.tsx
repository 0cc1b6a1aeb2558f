import { useEffect, useState } from "preact/hooks";
import { Superseded } from "../lib/calc";
import { pdfOf, type SheetEntry, type SheetText, sheetOf } from "../lib/sheets";
import { status, units } from "../lib/state";
import { sheet } from "../lib/textsheet";
import { HandOver } from "./handover";
import { Mark } from "./mark";
import { PaperChoice, paper } from "./paperchoice";
import { PrintCheck } from "./printcheck";
import { SheetAsks } from "./sheetasks";

interface SheetPageProps {
	job: string;
	entry: SheetEntry;
	sign: string;
}

// <SheetPage job={…} entry={…} sign="1f4e…"> is one sheet: its picture, what stands on it as a warning, the files to
// take along, and the rulers of the print where it is to scale. The app stays where it is; a file is handed over, never opened.
// Props: job, entry (of the list), sign (of what it is made from).  Calls: sheetOf, pdfOf.
export function SheetPage({ job, entry, sign }: SheetPageProps) {
	const asks = entry.asks && <SheetAsks key={entry.key} job={job} sheetKey={entry.key} asks={entry.asks} />;
	if (entry.why !== "")
		return (
			<div class="stack">
				<p class="card">{entry.why}</p>
				{asks}
			</div>
		);
	return (
		<div class="stack">
			{asks}
			<Picture job={job} entry={entry} />
			{entry.warnings.length > 0 && (
				<ul class="card stack" data-test="sheet-warnings">
					{entry.warnings.map((w) => (
						<li key={w} class="row">
							<Mark kind="warn" />
							<span class="grow">{w}</span>
						</li>
					))}
				</ul>
			)}
			<div class="split">
				<Out job={job} entry={entry} sign={sign} />
				{!entry.not_to_scale && <PrintCheck job={job} sheetKey={entry.key} sign={sign} />}
			</div>
		</div>
	);
}

const why = (e: unknown) => (e instanceof Error ? e.message : String(e));

function Picture({ job, entry }: { job: string; entry: SheetEntry }) {
	const { key } = entry;
	const [url, setURL] = useState("");
	const [fault, setFault] = useState("");
	const [isLarge, setLarge] = useState(false);
	const unit = units.value;
	// biome-ignore lint/correctness/useExhaustiveDependencies: the figures of the picture are in the unit
	useEffect(() => {
		let gone = false;
		let made = "";
		sheetOf(job, key, "svg", unit).then(
			(s) => {
				if (gone) return;
				made = URL.createObjectURL(new Blob([s.text], { type: "image/svg+xml" }));
				setURL(made);
			},
			(e: unknown) => !gone && !(e instanceof Superseded) && setFault(why(e)),
		);
		return () => {
			gone = true;
			URL.revokeObjectURL(made);
		};
	}, [job, key, unit]);
	const t = sheet.look;
	return (
		<section class="card stack">
			{fault !== "" && (
				<p class="fault" role="alert" data-test="sheet-fault">
					{sheet.unmade(fault)}
				</p>
			)}
			{url === "" && fault === "" && <p class="soft">{t.making}</p>}
			{url !== "" && (
				<div class={isLarge ? "sheet-look sheet-large" : "sheet-look"}>
					<img src={url} alt={t.drawing(entry.title)} data-test="sheet-svg" />
				</div>
			)}
			<div class="row wrap">
				<p class="soft grow">{entry.not_to_scale ? t.read : t.hint}</p>
				<fieldset class="switch">
					<legend class="aside">{t.drawing(entry.title)}</legend>
					{([false, true] as const).map((large) => (
						<button
							key={`${large}`}
							type="button"
							class={isLarge === large ? "picked" : ""}
							aria-pressed={isLarge === large}
							data-test={large ? "look-large" : "look-whole"}
							onClick={() => setLarge(large)}
						>
							{large ? t.large : t.whole}
						</button>
					))}
				</fieldset>
			</div>
		</section>
	);
}

function Out({ job, entry, sign }: SheetPageProps) {
	const t = sheet.out;
	const has = (form: string) => entry.forms.includes(form);
	return (
		<section class="card stack">
			<h2>{t.title}</h2>
			<PDF job={job} entry={entry} sign={sign} />
			{has("dxf") ? (
				<Made job={job} sheetKey={entry.key} form="dxf" label={t.dxf} say={t.dxfWhy} />
			) : (
				<p class="soft">{t.noDXF}</p>
			)}
			{has("svg") && <Made job={job} sheetKey={entry.key} form="svg" label={t.svg} say="" />}
		</section>
	);
}

function PDF({ job, entry, sign }: SheetPageProps) {
	const [got, setGot] = useState<{ file: File; sign: string } | null>(null);
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");
	const t = sheet.out;
	const isAway = status.value.link === "offline";
	const fetchIt = async () => {
		setBusy(true);
		setFault("");
		setGot(null);
		try {
			setGot(await pdfOf(job, entry.key, paper.value, units.value));
		} catch (e) {
			setFault(t.refused(why(e)));
		}
		setBusy(false);
	};
	return (
		<div class="stack">
			<PaperChoice onPick={() => setGot(null)} />
			<p class="soft">{entry.not_to_scale ? t.plainWhy : t.pdfWhy}</p>
			{isAway && (
				<p class="doubt" role="status" data-test="pdf-away">
					{t.noShop}
				</p>
			)}
			<button type="button" class="primary" data-test="make-pdf" disabled={busy || isAway} onClick={fetchIt}>
				{busy ? t.asking : entry.not_to_scale ? t.plain : t.pdf}
			</button>
			{fault !== "" && (
				<p class="fault" role="alert" data-test="pdf-fault">
					{fault}
				</p>
			)}
			{got && got.sign !== sign && (
				<p class="doubt" role="status" data-test="pdf-differs">
					{t.differs}
				</p>
			)}
			{got && (
				<HandOver file={got.file} test="pdf">
					{got.file.name}
				</HandOver>
			)}
		</div>
	);
}

interface MadeProps {
	job: string;
	sheetKey: string;
	form: "svg" | "dxf";
	label: string;
	say: string;
}

// A file is made when it is asked for, on this tablet.
function Made({ job, sheetKey, form, label, say }: MadeProps) {
	const [file, setFile] = useState<File | null>(null);
	const [fault, setFault] = useState("");
	const make = async () => {
		setFault("");
		try {
			const s: SheetText = await sheetOf(job, sheetKey, form, units.value);
			const type = form === "svg" ? "image/svg+xml" : "image/vnd.dxf";
			setFile(new File([s.text], s.name, { type }));
		} catch (e) {
			setFault(sheet.unmade(why(e)));
		}
	};
	return (
		<div class="stack">
			<button type="button" data-test={`make-${form}`} onClick={make}>
				{label}
			</button>
			{say !== "" && <p class="soft">{say}</p>}
			{fault !== "" && <p class="fault">{fault}</p>}
			{file && (
				<HandOver file={file} test={form}>
					{file.name}
				</HandOver>
			)}
		</div>
	);
}

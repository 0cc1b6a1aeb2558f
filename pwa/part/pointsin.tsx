import { useEffect, useRef, useState } from "preact/hooks";
import { Superseded } from "../lib/calc";
import { used } from "../lib/fields";
import { fieldsOf } from "../lib/listed";
import { degrees, figure, length, notSaved, typed } from "../lib/say";
import { type Listed, listOf, pointsOf, readDraft, replaceList, saveDraft, units } from "../lib/state";
import { around } from "../lib/textaround";
import { result, tubes } from "../lib/texttube";
import { Figures } from "./figures";
import { FileChoice } from "./filechoice";
import { known, titleOf } from "./known";
import { Mark } from "./mark";
import { TubeDrawing } from "./tubedrawing";
import { offerUndo } from "./undo";

/** More than any list of points has; what is larger is another file by mistake. */
const MOST = 200_000;

interface PointsInProps {
	job: string;
	id: string;
}

// <PointsIn job={…} id="t1"> takes intersection points of a tube from a CSV file or pasted text, shows them and the
// path that they make, and keeps that as the path of the tube once a person has seen it.
// Props: job, id (of the tube).  Calls: saveDraft, pointsOf, replaceList.
export function PointsIn({ job, id }: PointsInProps) {
	const draft = { list: `${job} points ${id}`, clr: `${job} points ${id} clr` };
	const [list, setList] = useState(() => readDraft(draft.list));
	const [clr, setCLR] = useState(() => readDraft(draft.clr) || usualCLR(job, id));
	const [got, setGot] = useState<Listed | null>(null);
	const [busy, setBusy] = useState(false);
	const [fault, setFault] = useState("");
	const t = around.bender;

	const changed = (next: string) => {
		setList(next);
		saveDraft(draft.list, next);
		setGot(null);
		setFault("");
	};
	const look = async (of: string) => {
		setBusy(true);
		setFault("");
		setGot(null);
		try {
			setGot(await pointsOf(job, id, { text: of, clr, unit: units.value }));
		} catch (e) {
			if (!(e instanceof Superseded)) setFault(e instanceof Error ? e.message : String(e));
		}
		setBusy(false);
	};
	const keep = async (made: Listed) => {
		try {
			const undo = await replaceList(job, "element", id, made.elements.map(fieldsOf));
			saveDraft(draft.list, "");
			saveDraft(draft.clr, "");
			setList("");
			setGot(null);
			offerUndo(t.kept(made.elements.length), undo);
		} catch (e) {
			setFault(notSaved(e));
		}
	};
	return (
		<section class="card stack no-print" data-test="points-in">
			<h2>{t.import}</h2>
			<p class="soft">{t.importWhy}</p>
			<FileChoice
				label={t.choose}
				accept=".csv,.txt,text/csv,text/plain"
				most={MOST}
				test="points"
				onText={(of) => {
					changed(of);
					return look(of);
				}}
				onLarge={() => setFault(t.tooLarge)}
				onUnread={(why) => setFault(t.unread(why))}
			/>
			<label class="stack">
				<span class="cell-label">{t.paste}</span>
				<textarea
					rows={6}
					data-test="points-text"
					spellcheck={false}
					value={list}
					onInput={(e) => changed(e.currentTarget.value)}
				/>
			</label>
			<div class="row points-with">
				<label class="stack grow">
					<span class="cell-label">{t.clr}</span>
					<input
						type="text"
						autoComplete="off"
						data-test="points-clr"
						value={clr}
						onInput={(e) => {
							setCLR(e.currentTarget.value);
							saveDraft(draft.clr, e.currentTarget.value);
							setGot(null);
						}}
					/>
				</label>
				<p class="soft">{`${t.unit} ${units.value}`}</p>
				<button
					type="button"
					class="primary"
					data-test="points-look"
					disabled={list.trim() === "" || busy}
					onClick={() => look(list)}
				>
					{busy ? t.looking : t.look}
				</button>
			</div>
			{fault !== "" && (
				<div class="fault" role="alert" data-test="points-fault">
					{fault.split("\n").map((line) => (
						<p key={line}>{line}</p>
					))}
				</div>
			)}
			{got && <Preview job={job} id={id} got={got} onKeep={() => keep(got)} />}
		</section>
	);
}

interface PreviewProps extends PointsInProps {
	got: Listed;
	onKeep: () => void;
}

function Preview({ job, id, got, onKeep }: PreviewProps) {
	const u = units.value;
	const t = around.bender;
	const there = listOf(job, "element", id).length;
	const [start, aim] = [got.start_off ?? 0, got.aim_off ?? 0];
	const top = useRef<HTMLDivElement>(null);
	useEffect(() => top.current?.scrollIntoView({ block: "start" }), []);
	const isOff = start > 0.5 || aim > 0.5; // mm and degrees; less is how points are rounded
	return (
		<div class="stack points-preview" data-test="points-preview" ref={top}>
			<h3>{t.preview}</h3>
			<TubeDrawing title={titleOf(job, "tube", id)} points={got.xyz} doubt={false} />
			<p class="row">
				<span class="grow">{t.length}</span>
				<strong data-test="points-length">{length(got.length, u)}</strong>
			</p>
			<p class="row" data-test="points-port">
				<Mark kind={isOff ? "warn" : got.start_off === null ? "note" : "agreed"} />
				<span>
					{got.start_off === null
						? t.noPort
						: isOff
							? `${t.start(length(start, u))} ${t.aim(degrees(aim))} ${t.shift}`
							: t.fits}
				</span>
			</p>
			<div class="columns">
				<Figures title={t.readPoints(got.points.length)} head={["", `x, ${u}`, `y, ${u}`, `z, ${u}`]}>
					{got.points.map((p, i) => (
						<tr key={i} data-test="points-row">
							<th scope="row">{i + 1}</th>
							{p.map((v, k) => (
								<td class="num" key={"xyz"[k]}>
									{figure(v, u)}
								</td>
							))}
						</tr>
					))}
				</Figures>
				<Figures
					title={tubes.path}
					head={[
						"",
						`${result.lraHead.length}, ${u}`,
						`${result.lraHead.angle}, °`,
						`CLR, ${u}`,
						`${result.lraHead.rotation}, °`,
					]}
				>
					{got.elements.map((e, i) => (
						<tr key={i}>
							<th scope="row">{`${i + 1} ${e.type === "bend" ? t.bend : t.straight}`}</th>
							<td class="num">{e.length === undefined ? "" : figure(e.length, u)}</td>
							<td class="num">{e.turn === undefined ? "" : degrees(e.turn).replace("°", "")}</td>
							<td class="num">{e.clr === undefined ? "" : figure(e.clr, u)}</td>
							<td class="num">{e.rotation === undefined ? "" : degrees(e.rotation).replace("°", "")}</td>
						</tr>
					))}
				</Figures>
			</div>
			{there > 0 && <p class="soft">{t.replace(there)}</p>}
			<button type="button" class="primary wide" data-test="points-keep" onClick={onKeep}>
				{t.keep(got.elements.length)}
			</button>
		</div>
	);
}

// The CLR of a bend that the tube or the job has already.
function usualCLR(job: string, tube: string): string {
	const of = (list: { id: string }[]) => {
		const heads = list.map((e) => used(known(job, `element/${e.id}/clr`)));
		const first = heads.find((h) => h !== undefined);
		return first ? typed(first) : "";
	};
	return of(listOf(job, "element", tube)) || of(listOf(job, "element"));
}

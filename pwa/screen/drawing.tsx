import { useState } from "preact/hooks";
import { Superseded } from "../lib/calc";
import { type Box, boxOf, freest, traced } from "../lib/face";
import { length, megabytes, notSaved, plain } from "../lib/say";
import { cornersOf, type Drawn, type DrawnHole, type DrawnOpening, drawingOf } from "../lib/sheets";
import {
	addFamily,
	type Fields,
	go,
	type ReadingInput,
	readDraft,
	saveDraft,
	units,
	view,
} from "../lib/state";
import { sheet } from "../lib/textsheet";
import type { Corner, OnFace } from "../lib/typesflange";
import { Caution } from "../part/caution";
import { FileChoice } from "../part/filechoice";
import { loopPath } from "../part/outline";
import { Page } from "../part/page";
import { begun } from "../part/shortname";
import { offerUndo } from "../part/undo";
import { ViewSwitch } from "../part/viewswitch";

const MOST = 2_000_000; // bytes; what is larger holds more than a flange

interface DrawingProps {
	job: string;
	id: string;
}

type Role = "hole" | "opening" | "out";

/** What the person says of the drawing; roles by size, "Ø 8.8", or by number of an outline. */
interface Said {
	unit: string;
	what: string;
	side: string | null; // null until it is said
	name: string;
	roles: Record<string, Role>;
}

// <Drawing job={…} id="A"> reads a DXF for a bank: what was found is drawn and said, a person says what it is and from
// which side it was drawn, and only then it is kept, as a pattern with its holes and openings.
// Props: job, id (of the bank).  Calls: drawingOf, addFamily, saveDraft, go.
export function Drawing({ job, id }: DrawingProps) {
	const draft = { file: `${job} drawing ${id}`, said: `${job} drawing ${id} said` };
	const [file, setFile] = useState(() => readDraft(draft.file));
	const [said, setSaid] = useState<Said>(() => {
		const kept = readDraft(draft.said);
		return kept ? (JSON.parse(kept) as Said) : { unit: "", what: "", side: null, name: "", roles: {} };
	});
	const [got, setGot] = useState<Drawn | null>(null);
	const [fault, setFault] = useState(""); // of reading
	const [unkept, setUnkept] = useState("");
	const [busy, setBusy] = useState(false);
	const t = sheet.dxf;

	const say = (part: Partial<Said>) => {
		const next = { ...said, ...part };
		setSaid(next);
		saveDraft(draft.said, JSON.stringify(next));
		return next;
	};
	const look = async (of: string, unit: string) => {
		setBusy(true);
		setFault("");
		try {
			setGot(await drawingOf(job, id, of, unit));
		} catch (e) {
			if (!(e instanceof Superseded)) setFault(t.unread(e instanceof Error ? e.message : String(e)));
		}
		setBusy(false);
	};
	const read = async (of: string, called: string) => {
		setGot(null);
		setUnkept("");
		setFile(of);
		saveDraft(draft.file, of);
		say({ unit: "", roles: {}, name: called.replace(/\.dxf$/i, "") });
		await look(of, "");
	};
	const keep = async (d: Drawn) => {
		setBusy(true);
		setUnkept("");
		try {
			const made = partsOf(d, said, id);
			const kept = await addFamily(job, "pattern", id, made.fields, made.children, { name: said.name });
			saveDraft(draft.file, "");
			saveDraft(draft.said, "");
			offerUndo(t.kept(said.name), kept.undo);
			go({ screen: "item", job, slot: `pattern/${kept.id}` });
		} catch (e) {
			setUnkept(notSaved(e));
		}
		setBusy(false);
	};
	return (
		<Page title={t.title(id)} back={{ screen: "sheets", job }} extra={<ViewSwitch />}>
			<div class="stack">
				<section class="card stack">
					<p class="soft">{t.why}</p>
					<FileChoice
						label={file === "" ? t.choose : t.other}
						accept=".dxf"
						most={MOST}
						test="dxf"
						onText={read}
						onLarge={(bytes) => setFault(t.tooLarge(megabytes(bytes)))}
						onUnread={(why) => setFault(t.unread(why))}
					/>
					{file !== "" && !got && !busy && (
						<button type="button" class="primary" data-test="dxf-look" onClick={() => look(file, said.unit)}>
							{t.again(said.name)}
						</button>
					)}
					{busy && !got && <p class="soft">{t.reading}</p>}
					{fault !== "" && (
						<p class="fault" role="alert" data-test="dxf-fault">
							{fault}
						</p>
					)}
				</section>
				{got?.ask && (
					<section class="card stack" data-test="dxf-ask">
						<h2>{t.unit}</h2>
						<p>{`${begun(got.ask.why)}.`}</p>
						<div class="columns">
							{(["mm", "in"] as const).map((u) => (
								<button
									key={u}
									type="button"
									class="choice"
									data-test={`dxf-unit-${u}`}
									onClick={() => {
										say({ unit: u });
										look(file, u);
									}}
								>
									{`${t.asUnit[u]}: ${t.wouldBe(sizeOf(u === "mm" ? got.ask?.mm : got.ask?.in))}`}
								</button>
							))}
						</div>
					</section>
				)}
				{got && !got.ask && (
					<Found d={got} bank={id} {...{ said, say, busy, unkept }} onKeep={() => keep(got)} />
				)}
				<Caution>
					<p>{sheet.caution}</p>
				</Caution>
			</div>
		</Page>
	);
}

const sizeOf = (s: OnFace | undefined) => `${length(s?.[0], units.value)} × ${length(s?.[1], units.value)}`;

interface FoundProps {
	d: Drawn;
	bank: string;
	said: Said;
	say: (part: Partial<Said>) => void;
	busy: boolean;
	unkept: string; // why it was not kept
	onKeep: () => void;
}

function Found({ d, bank, said, say, busy, unkept, onKeep }: FoundProps) {
	const t = sheet.dxf;
	const all = rolesOf(d, said, bank);
	const taken = (r: Role) => all.filter((g) => g.role === r).reduce((n, g) => n + g.n, 0);
	const lacks =
		said.what === ""
			? t.say.what
			: said.side === null
				? t.say.side
				: taken("hole") === 0
					? t.say.nothing
					: "";
	if (all.length === 0 && d.path === "") return <p class="card">{[t.nothing, ...d.notes].join(" ")}</p>;
	const pick = (
		legend: string,
		of: Record<string, string>,
		value: string | null,
		onPick: (v: string) => void,
		test: string,
	) => (
		<fieldset class="switch read-pick">
			<legend class="cell-label">{legend}</legend>
			{Object.entries(of).map(([v, label]) => (
				<button
					key={v}
					type="button"
					class={value === v ? "picked" : ""}
					aria-pressed={value === v}
					data-test={`${test}-${v || "open"}`}
					onClick={() => onPick(v)}
				>
					{label}
				</button>
			))}
		</fieldset>
	);
	return (
		<>
			<section class="card stack" data-test="dxf-found">
				<Preview d={d} groups={all} />
				<p>{t.size(sizeOf(d.size), d.path === "" ? t.edge.no : t.edge.yes)}</p>
				{d.notes.length > 0 && (
					<div class="stack" data-test="dxf-notes">
						<h3>{t.notes}</h3>
						<ul class="stack signs">
							{d.notes.map((n) => (
								<li key={n}>{n}</li>
							))}
						</ul>
					</div>
				)}
				<p class="soft small">
					{t.layers(d.layers.map((l) => (l.off ? `${l.name} (${t.off})` : l.name)).join(", "))}
				</p>
			</section>
			<section class="card stack">
				{pick(t.what, t.whats, said.what, (what) => say({ what }), "dxf-what")}
				{pick(t.side, t.sides, said.side, (side) => say({ side }), "dxf-side")}
				<label class="stack">
					<span class="cell-label">{t.name}</span>
					<input
						type="text"
						autoComplete="off"
						data-test="dxf-name"
						value={said.name}
						onInput={(e) => say({ name: e.currentTarget.value })}
					/>
				</label>
				<h3>{t.roles}</h3>
				<p class="soft">{t.rolesWhy}</p>
				{all.map((g) => (
					<div key={g.key}>
						{pick(
							g.label,
							Object.fromEntries(g.may.map((r) => [r, t.role[r] ?? r])),
							g.role,
							(r) => say({ roles: { ...said.roles, [g.key]: r as Role } }),
							`role:${g.key}`,
						)}
					</div>
				))}
				<p class="soft" role="status">
					{lacks}
				</p>
				{unkept !== "" && (
					<p class="fault" role="alert" data-test="dxf-unkept">
						{unkept}
					</p>
				)}
				<button
					type="button"
					class="primary wide"
					data-test="dxf-keep"
					disabled={lacks !== "" || busy}
					onClick={onKeep}
				>
					{t.keep(taken("hole"), taken("opening"))}
				</button>
			</section>
		</>
	);
}

/** Round ones of one size, or one drawn outline. */
interface Group {
	key: string;
	label: string;
	n: number;
	role: Role;
	may: Role[];
	places: DrawnHole[];
	names: string[]; // in the drawing: H1, O2; none of what is left out
	outline?: DrawnOpening;
}

const WIDEST = 40; // mm, of a hole, as the field allows
const NARROWEST = 5; // of an opening
const BOLT = 20; // above the hole of any bolt of a flange

// Until the person says: what lies on ports is their openings, what lies on bolts their holes. Of other circles those of
// three quarters of the smallest port or more are openings, and other outlines are while a port has none.
function rolesOf(d: Drawn, said: Said, bank: string): Group[] {
	const areas = (view.value?.plan.flanges ?? [])
		.flatMap((f) => f.ports.map((p) => p.area))
		.filter((a) => a > 0);
	const port = areas.length > 0 ? 2 * Math.sqrt(Math.min(...areas) / Math.PI) : Number.POSITIVE_INFINITY;
	const rounds = [
		...d.holes,
		...d.openings.flatMap((o): DrawnHole[] => (o.diameter ? [{ ...o, diameter: o.diameter }] : [])),
	];
	const ports = (view.value?.plan.flanges ?? []).filter((f) => f.bank === bank).flatMap((f) => f.ports);
	const isFull =
		ports.length > 0 && ports.every((p) => [...d.holes, ...d.openings].some((o) => o.port === p.id));
	const groups = new Map<string, Group>();
	for (const round of rounds) {
		const { diameter } = round;
		const key = plain(diameter);
		const may: Role[] = [];
		if (diameter <= WIDEST) may.push("hole");
		if (diameter >= NARROWEST) may.push("opening");
		const g = groups.get(key) ?? {
			...{
				key,
				label: length(diameter, units.value),
				n: 0,
				places: [],
				may: [...may, "out"] as Role[],
				names: [],
			},
			role: "hole" as Role,
		};
		g.places.push(round);
		g.n = g.places.length;
		groups.set(key, g);
	}
	for (const g of groups.values()) {
		const isLarge = (g.places[0]?.diameter ?? 0) >= Math.min(BOLT, 0.75 * port);
		const isOn = (what: "bolt" | "port") => g.places.every((p) => p[what]);
		const guess: Role = isOn("port") || (isLarge && !isOn("bolt")) ? "opening" : "hole";
		g.role = said.roles[g.key] ?? (g.may.includes(guess) ? guess : isLarge ? "opening" : "hole");
	}
	const drawn = d.openings
		.filter((o) => o.path)
		.map((outline, i): Group => {
			const key = `o${i + 1}`;
			const b = boxOf([cornersOf(outline.path ?? "")]);
			const label = sheet.dxf.drawn(sizeOf([b.x1 - b.x0, b.y1 - b.y0]));
			return {
				key,
				label,
				n: 1,
				places: [],
				names: [],
				outline,
				may: ["opening", "out"],
				role: said.roles[key] ?? (outline.port || !isFull ? "opening" : "out"),
			};
		});
	const all = [...groups.values(), ...drawn];
	const count = { hole: 0, opening: 0, out: 0 };
	for (const g of all) {
		if (!g.outline) g.label = sheet.dxf.round(g.label, g.n);
		if (g.role === "out") continue;
		for (let i = 0; i < g.n; i++) g.names.push(`${g.role === "hole" ? "H" : "O"}${++count[g.role]}`);
		g.label = sheet.dxf.named(rangeOf(g.names), g.label);
	}
	return all;
}

// One name, or the first and the last of names that follow each other.
function rangeOf(names: string[]): string {
	const [first = "", last = ""] = [names[0], names.at(-1)];
	return first === last ? first : sheet.dxf.to(first, last);
}

const WIDE = 760;
const EDGE = 40;
const LABEL = [34, 22] as const; // of a name, px

const around = ([x, y]: OnFace): Box => ({
	...{ x0: x - LABEL[0] / 2, x1: x + LABEL[0] / 2 },
	...{ y0: y - LABEL[1] / 2, y1: y + LABEL[1] / 2 },
});

function Preview({ d, groups }: { d: Drawn; groups: Group[] }) {
	const edge = cornersOf(d.path);
	const rounds = groups.flatMap((g) =>
		g.places.map((p, i) => ({ ...p, role: g.role, name: g.names[i] ?? "" })),
	);
	const loops = groups.flatMap(({ outline, role, names: [name = ""] }) => {
		if (!outline) return [];
		const loop = cornersOf(outline.path ?? "").map(([x, y, b]): Corner => [x + outline.x, y + outline.y, b]);
		return [{ loop, role, name, x: outline.x, y: outline.y }];
	});
	const b = boxOf(
		[edge, ...loops.map((l) => l.loop)],
		rounds.flatMap(({ x, y, diameter: w }): OnFace[] => [
			[x - w, y - w],
			[x + w, y + w],
		]),
	);
	const scale = Math.min((WIDE - 2 * EDGE) / Math.max(b.x1 - b.x0, 20), 480 / Math.max(b.y1 - b.y0, 20));
	const high = (b.y1 - b.y0) * scale + 2 * EDGE;
	const at = ([x, y]: OnFace): OnFace => [
		WIDE / 2 + (x - (b.x0 + b.x1) / 2) * scale,
		EDGE + (b.y1 - y) * scale,
	];
	const line = (role: Role) => (role === "out" ? "axis" : "line");
	const circle = (r: number): Corner[] => [
		[r, 0, 1],
		[-r, 0, 1],
	];
	const ink = [
		edge,
		...loops.map((l) => l.loop),
		...rounds.map((o) => circle(o.diameter / 2).map(([x, y, k]): Corner => [x + o.x, y + o.y, k])),
	].flatMap((loop) => traced(loop, 3 / scale).map(at));
	// openings are named in their middle, holes beside them where no line is in the way
	const taken = [...rounds, ...loops].filter((o) => o.role === "opening").map((o) => around(at([o.x, o.y])));
	const labels = rounds
		.filter((o) => o.role === "hole")
		.map(({ x, y, diameter, name }) => {
			const [cx, cy] = at([x, y]);
			const off = (diameter / 2) * scale + 4;
			const [dx, dy] = [off + LABEL[0] / 2, off + LABEL[1] / 2];
			const spots: OnFace[] = [
				[cx, cy + dy],
				[cx, cy - dy],
				[cx + dx, cy],
				[cx - dx, cy],
				[cx + dx, cy - dy],
				[cx - dx, cy - dy],
				[cx + dx, cy + dy],
				[cx - dx, cy + dy],
			];
			const box = freest(spots.map(around), ink, taken) ?? around([cx, cy]);
			taken.push(box);
			return { name, x: (box.x0 + box.x1) / 2, y: (box.y0 + box.y1) / 2 };
		});
	return (
		<figure class="drawing read-drawing">
			<svg viewBox={`0 0 ${WIDE} ${Math.ceil(high)}`} role="img" aria-label={sheet.dxf.drawing}>
				<path class="line" d={loopPath(edge, at)} />
				{rounds.map(({ x, y, diameter, role, name }) => {
					const [cx, cy] = at([x, y]);
					const r = (diameter / 2) * scale;
					return (
						<g key={`${x} ${y} ${diameter}`}>
							<circle class={line(role)} cx={cx} cy={cy} r={r} />
							{role === "opening" && (
								<text x={cx} y={cy + 6} text-anchor="middle">
									{name}
								</text>
							)}
						</g>
					);
				})}
				{labels.map((l) => (
					<text key={l.name} x={l.x} y={l.y + 6} text-anchor="middle">
						{l.name}
					</text>
				))}
				{loops.map(({ loop, role, name, x, y }) => (
					<g key={`${x} ${y}`}>
						<path class={line(role)} d={loopPath(loop, at)} />
						<text x={at([x, y])[0]} y={at([x, y])[1] + 6} text-anchor="middle">
							{name}
						</text>
					</g>
				))}
			</svg>
			<figcaption class="soft small">{sheet.dxf.file}</figcaption>
		</figure>
	);
}

// partsOf is what is kept: a pattern, its holes and its openings, each with its number.
function partsOf(d: Drawn, said: Said, bank: string): { fields: Fields; children: Record<string, Fields[]> } {
	const hole: Fields[] = [];
	const opening: Fields[] = [];
	for (const g of rolesOf(d, said, bank)) {
		for (const { x, y, diameter } of g.places) {
			const own = { x: mm(x), y: mm(y), diameter: mm(diameter) };
			if (g.role === "hole") hole.push({ ...own, number: count(hole.length + 1) });
			if (g.role === "opening") opening.push({ ...own, shape: "round", number: count(opening.length + 1) });
		}
		if (g.outline && g.role === "opening") {
			const { x, y, path = "" } = g.outline;
			opening.push({ x: mm(x), y: mm(y), shape: "drawn", path, number: count(opening.length + 1) });
		}
	}
	const fields: Fields = { what: said.what };
	if (said.side) fields.side = said.side;
	if (d.path !== "") fields.path = d.path;
	return { fields, children: { hole, opening } };
}

const count = (n: number): ReadingInput => ({
	...{ text: `${n}`, unit: "1", v: n * 1e6, res: 0, tool: "" },
	quantity: "number",
});

// What is drawn is kept to 0.001 mm.
const mm = (v: number): ReadingInput => {
	const um = Math.round(v * 1000) || 0;
	return { text: (um / 1000).toFixed(3), unit: "mm", v: um * 1000, res: 1000, quantity: "length", tool: "" };
};

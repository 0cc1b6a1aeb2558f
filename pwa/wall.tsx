import "./css/tokens.css";
import "./css/base.css";
import "./css/part.css";
import "./css/pair.css";
import "./css/wall.css";
import { signal } from "@preact/signals";
import { render } from "preact";
import { type Board, type BoardJob, follow } from "./lib/board";
import { isLoopback, offeredIn } from "./lib/code";
import { browserProbes } from "./lib/probes";
import { age, clock, plain } from "./lib/say";
import { wall as wallWords } from "./lib/textwall";
import { pairWall, wallKey } from "./lib/wallkey";
import { Later } from "./part/later";
import { Mark, type MarkKind } from "./part/mark";
import { Stages } from "./part/stages";
import { WallPieces } from "./part/wallpieces";
import { WallTablets } from "./part/walltablets";

const SILENT_MS = 20_000;
const PAGE = 6; // rows that can be read at 5 m on one screen, less one for each further line of tablets
const TABLETS = 2; // on a line
const LINES = 3; // of tablets
const TURN_MS = 15_000; // how long each page of a long list stands
const DAY_MS = 20 * 3600_000;
const QUIET_HOUR = 3;

const board = signal<Board | null>(null);
const heard = signal({ shop: 0, here: 0 }); // the shop's clock, and ours when it came
const here = signal(Date.now());
const bye = signal("");
const barred = signal(""); // why the shop does not let this board in
const linked = signal(""); // what became of the code of a link: why it was refused, or that it is being asked
let key = wallKey(localStorage);
const since = Date.now();

// <Wall> is the board on the wall: one row a job, nothing to touch, grey as soon as it is not live. Only
// while it is not paired there are keys, for the code.
// Props: none.  Calls: pair.
function Wall() {
	const quiet = here.value - (heard.value.here || since) > SILENT_MS;
	const shopNow = heard.value.shop + Math.max(0, here.value - heard.value.here);
	const b = board.value;
	const tablets = b?.tablets ?? [];
	const lines = Math.min(LINES, Math.ceil(tablets.length / TABLETS));
	const all = pagesOf(b?.jobs ?? [], PAGE - Math.max(0, lines - 1));
	const pages = all.length;
	const page = Math.floor(here.value / TURN_MS) % pages;
	const rows = all[page] ?? [];
	const isFew = rows.reduce((sum, j) => sum + roomOf(j), 0) <= 3;
	const isAsking = barred.value !== "" && linked.value !== wallWords.pairing;
	return (
		<main class={`wall ${quiet ? "wall-quiet" : ""} ${isFew ? "wall-few" : ""}`}>
			<header class="wall-head">
				<h1 class="aside">{wallWords.title}</h1>
				<p class="wall-clock">
					{heard.value.here === 0 ? "" : clock(quiet ? heard.value.shop : shopNow, shopNow)}
				</p>
				{barred.value !== "" && (
					<p class="wall-barred" role="alert" data-test="wall-barred">
						{linked.value || barred.value}
					</p>
				)}
				{quiet && barred.value === "" && (
					<p class="wall-grey" role="alert" data-test="wall-grey">
						{wallWords.grey(clock(heard.value.shop || since, here.value))}
					</p>
				)}
				{!quiet && b === null && barred.value === "" && (
					<p class="wall-wait">{bye.value || wallWords.waiting}</p>
				)}
				{b !== null && b.aside > 0 && (
					<p class="wall-aside" data-test="wall-aside">
						<Mark kind="warn" />
						{wallWords.aside(b.aside)}
					</p>
				)}
				{b !== null && b.copied > 0 && (
					<p class="wall-aside" data-test="wall-copied">
						<Mark kind="warn" />
						{wallWords.copied(b.copied)}
					</p>
				)}
				{pages > 1 && <p class="wall-page">{wallWords.page(page + 1, pages)}</p>}
			</header>
			{isAsking ? (
				<div class="wall-pair">
					<Later load={codeForm} with={{ label: wallWords.code, onCode: pair }} />
				</div>
			) : (
				<ul class="wall-rows">
					{rows.map((j) => (
						<Row key={j.id} job={j} now={shopNow} />
					))}
					{b !== null && rows.length === 0 && <li class="wall-wait">{wallWords.noJobs}</li>}
				</ul>
			)}
			<footer class="wall-foot">
				<h2 class="aside">{wallWords.tablets}</h2>
				<WallTablets tablets={tablets} now={shopNow} room={LINES * TABLETS} />
				{b !== null && tablets.length === 0 && <span>{wallWords.noTablets}</span>}
			</footer>
		</main>
	);
}

// How many rows a job takes: one that shows its pieces takes two.
const roomOf = (j: BoardJob) => (j.pieces ? 2 : 1);

// The jobs in their order, as many on a page as there is room for; at least one page.
function pagesOf(jobs: BoardJob[], room: number): BoardJob[][] {
	const pages: BoardJob[][] = [[]];
	let left = room;
	for (const j of jobs) {
		const last = pages[pages.length - 1] as BoardJob[];
		if (last.length > 0 && roomOf(j) > left) {
			pages.push([j]);
			left = room;
		} else last.push(j);
		left -= roomOf(j);
	}
	return pages;
}

// The board has no unit that somebody set: tube that is sold by sixteenths of an inch is said in inches.
const isInchSize = (od: number) => Math.abs(od / (25.4 / 16) - Math.round(od / (25.4 / 16))) < 0.01;

// <Row job={…} now={ms}> is one job on the wall, every state in words and by shape.
// Props: job, now (the shop's clock).  Calls: nothing.
function Row({ job, now }: { job: BoardJob; now: number }) {
	const open: [MarkKind, number, string][] = [
		["disputed", job.disputed, wallWords.disputed(job.disputed)],
		["stop", job.stops, wallWords.stops(job.stops)],
		["warn", job.warnings, wallWords.warnings(job.warnings)],
		["missing", job.missing, wallWords.missing(job.missing)],
	];
	const shown = open.filter(([, n]) => n > 0);
	const d = job.decided;
	const isInch = d !== undefined && isInchSize(d.od);
	const size = (v: number) => plain(isInch ? v / 25.4 : v);
	return (
		<li class={job.pieces ? "wall-row at-bench" : "wall-row"} data-test="wall-row" data-job={job.id}>
			<div class="wall-line">
				<strong class="wall-name">{job.name || wallWords.noName}</strong>
				<Stages stage={job.stage} />
			</div>
			<div class="wall-line">
				<p class={job.blocked === "" && !d ? "wall-blocked soft" : "wall-blocked"}>
					{job.blocked !== "" ? wallWords.blocked(job.blocked) : d ? "" : wallWords.free}{" "}
					{d && (
						<span class="wall-decided" data-test="wall-decided">
							<Mark kind="chosen" />{" "}
							{wallWords.decided(
								size(d.od),
								size(d.wall),
								`${size(d.length)} ${isInch ? "in" : "mm"}`,
								d.from,
							)}
						</span>
					)}
				</p>
				<p class="wall-open">
					{shown.map(([kind, , words]) => (
						<span key={kind} class="row">
							<Mark kind={kind} />
							{words}
						</span>
					))}
					{shown.length === 0 && <span class="soft">{wallWords.clear}</span>}
				</p>
				<p class="wall-age soft">{job.changed_ms > 0 ? wallWords.changed(age(now - job.changed_ms)) : ""}</p>
			</div>
			{job.pieces && <WallPieces pieces={job.pieces} />}
		</li>
	);
}

const again = follow(
	`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/sync`,
	document.querySelector<HTMLMetaElement>('meta[name="build"]')?.content ?? "",
	() => key,
	{
		onBoard: (b) => {
			board.value = b;
			bye.value = barred.value = "";
		},
		onHeard: (shop) => {
			heard.value = { shop, here: Date.now() };
		},
		onBye: (why) => {
			bye.value = why;
		},
		onBarred: (why) => {
			board.value = null;
			const isKnown = why === "revoked" || key.token !== "";
			barred.value = isKnown ? wallWords.revoked : wallWords.notPaired(wallWords.needsCode);
		},
	},
);

const codeForm = () => import("./part/codeform").then((m) => m.CodeForm);

// pair pairs with a code and connects anew; it rejects with why not, as a sentence.
async function pair(code: string): Promise<void> {
	const probes = browserProbes(async () => {});
	key = await pairWall(code, key, localStorage, probes, (path, init) => fetch(path, init));
	barred.value = linked.value = "";
	again();
}

// takeLink pairs with the code of a wall link and takes it out of the address.
async function takeLink(): Promise<void> {
	const code = offeredIn(location.hash);
	if (code === "") return;
	history.replaceState(history.state, "", location.pathname);
	if (isLoopback(location.hostname)) return; // the shop machine itself is let in without
	barred.value = linked.value = wallWords.pairing;
	try {
		await pair(code);
	} catch (err) {
		linked.value = wallWords.notPaired(err instanceof Error ? err.message : String(err));
	}
}

addEventListener("hashchange", () => void takeLink());
void takeLink();

setInterval(() => {
	here.value = Date.now();
	// A page that hangs for weeks is loaded afresh at a quiet time, while the shop answers.
	const isLive = here.value - heard.value.here < SILENT_MS;
	if (isLive && here.value - since > DAY_MS && new Date().getHours() === QUIET_HOUR) location.reload();
}, 1000);

const root = document.getElementById("root");
if (root) render(<Wall />, root);

import "./css/tokens.css";
import "./css/base.css";
import "./css/part.css";
import "./css/screen.css";
import "./css/around.css";
import "./css/flange.css";
import "./css/bench.css";
import "./css/sizing.css";
import "./css/fixture.css";
import "./css/weld.css";
import "./css/inspect.css";
import "./css/sheets.css";
import "./css/print.css";
import "./css/measure.css";
import "./css/photo.css";
import "./css/choose.css";
import "./css/pair.css";
import "./css/solid.css";
import { render } from "preact";
import { boot, takeUpdate } from "./lib/boot";
import { person, ready, route } from "./lib/state";
import { text } from "./lib/text";
import { Later } from "./part/later";
import { PhotoTaker } from "./part/phototaker";
import { StatusBar } from "./part/statusbar";
import { Undo } from "./part/undo";
import { Bank } from "./screen/bank";
import { Intake } from "./screen/intake";
import { Job } from "./screen/job";
import { Jobs } from "./screen/jobs";
import { List } from "./screen/list";
import { Measure } from "./screen/measure";
import { Person } from "./screen/person";
import { Saved } from "./screen/saved";
import { Tube } from "./screen/tube";
import { Tubes } from "./screen/tubes";

// <App> shows the status bar and the screen that the route names.
// Props: none.  Calls: boot (try again), takeUpdate.
function App() {
	return (
		<div class="app">
			<StatusBar onRetry={open} />
			{ready.value && <PhotoTaker />}
			<Screen />
			<Undo />
		</div>
	);
}

function Screen() {
	if (!ready.value) return <p class="page soft">{text.loading}</p>;
	const { screen, job = "", slot = "", id = "" } = route.value;
	if (screen === "pair") return <Later key="pair" load={pair} with={{}} />;
	if (person.value === "") return <Person />;
	if (screen === "saved") return <Saved onUpdate={takeUpdate} />;
	if (job === "") return <Jobs />;
	switch (screen) {
		case "job":
			return <Job key={job} job={job} />;
		case "intake":
			return <Intake key={job} job={job} />;
		case "bank":
			return <Bank key={job + id} job={job} id={id} />;
		case "sheets":
			return <Later key={screen + job + id} load={sheets} with={{ job, id }} />;
		case "drawing":
			return <Later key={screen + job + id} load={drawing} with={{ job, id }} />;
		case "measure":
			if (slot.startsWith("print/"))
				return <Later key={screen + job + slot + id} load={rulers} with={{ job, slot, of: id }} />;
			return <Measure key={job + slot} job={job} slot={slot} />;
		case "choose":
			return <Later key={screen + job + slot} load={choose} with={{ job, slot, from: id }} />;
		case "list":
			return <List key={job + id} job={job} which={id} />;
		case "tubes":
			return <Tubes key={job} job={job} />;
		case "tube":
			return <Tube key={job + id} job={job} id={id} />;
		case "rim":
			return <Later key={screen + job + slot} load={rim} with={{ job, slot, look: id === "look" }} />;
		case "flange":
			return <Later key={screen + job + id} load={flange} with={{ job, id }} />;
		case "around":
			return <Later key={screen + job} load={aroundPage} with={{ job }} />;
		case "item":
			return <Later key={screen + job + slot} load={item} with={{ job, slot }} />;
		case "mockup":
			return <Later key={screen + job + id} load={mockup} with={{ job, id }} />;
		case "bender":
			return <Later key={screen + job + id} load={bender} with={{ job, id }} />;
		case "photo":
			return <Later key={screen + job + slot + id} load={photo} with={{ job, slot, id }} />;
		case "photos":
			return <Later key={screen + job} load={photos} with={{ job }} />;
		case "bench":
			return <Later key={screen + job} load={atBench} with={{ job }} />;
		case "correction":
			return <Later key={screen + job + id} load={correction} with={{ job, id }} />;
		case "filling":
			return <Later key={screen + job + id} load={filling} with={{ job, id, joints: slot }} />;
		case "cuts":
			return <Later key={screen + job} load={cuts} with={{ job }} />;
		case "stock":
			return <Later key={screen + job} load={stock} with={{ job }} />;
		case "sizing":
			return <Later key={screen + job} load={sizing} with={{ job, part: id }} />;
		case "fixture":
			return <Later key={screen + job} load={fixture} with={{ job, part: id }} />;
		case "weld":
			return <Later key={screen + job + slot} load={weld} with={{ job, part: id, joint: slot }} />;
		case "station":
			return <Later key={screen + job + id} load={station} with={{ job, id }} />;
		case "inspect":
			return <Later key={screen + job} load={inspect} with={{ job, part: id }} />;
		case "gap":
			return <Later key={screen + job + slot + id} load={gap} with={{ job, gap: slot, id }} />;
		case "piece":
			return <Later key={screen + job + id} load={piece} with={{ job, id }} />;
		case "result":
			return <Later key={screen + job} load={result} with={{ job, at: id }} />;
		case "view3d":
			return <Later key={screen + job + id + slot} load={view3d} with={{ job, id, of: slot }} />;
		default:
			return <Jobs />;
	}
}

const further = () => import("./screen/further");
const aroundPage = () => further().then((m) => m.Around);
const choose = () => further().then((m) => m.Choose);
const result = () => further().then((m) => m.Result);
const rim = () => further().then((m) => m.Rim);
const sheets = () => import("./screen/sheets").then((m) => m.Sheets);
const drawing = () => import("./screen/drawing").then((m) => m.Drawing);
const rulers = () => import("./screen/rulers").then((m) => m.Rulers);
const flange = () => further().then((m) => m.Flange);
const atBench = () => import("./screen/atbench").then((m) => m.Bench);
const correction = () => import("./screen/atbench").then((m) => m.Correction);
const filling = () => import("./screen/atbench").then((m) => m.Filling);
const cuts = () => import("./screen/atbench").then((m) => m.Cuts);
const stock = () => import("./screen/atbench").then((m) => m.Stock);
const sizing = () => import("./screen/sizing").then((m) => m.Sizing);
const fixture = () => import("./screen/atfixture").then((m) => m.Fixture);
const weld = () => import("./screen/weld").then((m) => m.Weld);
const station = () => import("./screen/atfixture").then((m) => m.FixtureStationPage);
const inspect = () => import("./screen/atinspect").then((m) => m.Inspect);
const gap = () => import("./screen/atinspect").then((m) => m.InspectGap);
const piece = () => import("./screen/atbench").then((m) => m.Piece);
const item = () => further().then((m) => m.Item);
const mockup = () => further().then((m) => m.Mockup);
const bender = () => further().then((m) => m.Bender);
const pair = () => import("./screen/pair").then((m) => m.Pair);
const photo = () => import("./screen/photo").then((m) => m.Photo);
const view3d = () => import("./screen/view3d").then((m) => m.View3d);
const photos = () => import("./screen/photos").then((m) => m.JobPhotos);

// What goes wrong at the start is in the status; the bar shows it and offers to try again.
function open(): void {
	boot().catch((e: unknown) => console.error("start:", e));
}

const root = document.getElementById("root");
if (root) render(<App />, root);
open();

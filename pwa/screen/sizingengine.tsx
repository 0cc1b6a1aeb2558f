import { type Asked, asksFor } from "../lib/fields";
import { band, engineGroups, worked } from "../lib/sizing";
import { go, units } from "../lib/state";
import { sizing } from "../lib/textsizing";
import type { Input } from "../lib/typessizing";
import { CrankDial } from "../part/crankdial";
import { FieldCell } from "../part/fieldcell";
import { word } from "../part/known";
import type { SizingPartProps } from "./sizing";

// What is in none stands with how the engine lies.
const GROUPS = Object.entries(engineGroups);

// <SizingEngine job={…} says={…}> takes the engine's data, each beside where most values lie, and shows the firing
// order on the crank's circle as it is entered.
// Props: job, says.  Calls: go.
export function SizingEngine({ job, says }: SizingPartProps) {
	const asks = asksFor("engine", "self", (s) => word(job, s));
	const named = GROUPS.flatMap(([, names]) => names);
	const of = (names: string[]) => names.flatMap((n) => asks.filter((a) => a.field.name === n));
	const rest = asks.filter((a) => !named.includes(a.field.name));
	return (
		<>
			<p class="soft">{sizing.engine.why}</p>
			<div class="columns">
				{GROUPS.map(([group, names]) => (
					<section key={group} class="card stack">
						<h2>{sizing.engine.groups[group]}</h2>
						<Banded job={job} asks={of(names)} inputs={says?.inputs ?? []} />
						{group === "order" && says && says.pairing.spots.length > 0 && (
							<CrankDial pairing={says.pairing} />
						)}
						{group === "order" && says && says.pairing.spots.length === 0 && says.pairing.why !== "" && (
							<p class="soft">{sizing.sentence(says.pairing.why)}</p>
						)}
					</section>
				))}
			</div>
			<details class="card removed">
				<summary data-test="more:besides">{sizing.engine.groups.besides}</summary>
				<div class="stack">
					<p class="soft">{sizing.engine.besidesWhy}</p>
					<Banded
						job={job}
						asks={asksFor("sizing", "self", (s) => word(job, s))}
						inputs={says?.inputs ?? []}
					/>
				</div>
			</details>
			{rest.length > 0 && (
				<details class="card removed">
					<summary data-test="more:mounted">{sizing.engine.groups.mounted}</summary>
					<Banded job={job} asks={rest} inputs={says?.inputs ?? []} />
				</details>
			)}
			<button
				type="button"
				class="primary wide"
				data-test="to-rules"
				onClick={() => go({ screen: "sizing", job, id: "rules" })}
			>
				{sizing.engine.toRules} ▸
			</button>
		</>
	);
}

// Fields with where most values lie, and what is taken while one is open.
function Banded({ job, asks, inputs }: { job: string; asks: Asked[]; inputs: Input[] }) {
	const u = units.value;
	return (
		<div class="cells">
			{asks.map((a) => {
				const { quantity, unit } = a.field;
				const input = inputs.find((i) => i.slot === a.slot);
				// that of the field itself first: the input may be an area where a diameter is entered
				const likely = a.field.likely ?? input?.likely;
				const says = [
					likely ? sizing.engine.likely(band(likely, quantity === "length" ? "mm" : (unit ?? ""), u)) : "",
					input && input.value !== null && input.from !== "entered"
						? sizing.engine.taken(input.from, worked(input.value, input.unit, u))
						: "",
				].filter((s) => s !== "");
				return (
					<div key={a.slot} class="banded">
						<FieldCell job={job} ask={a} />
						{says.map((s) => (
							<p key={s} class="soft small">
								{s}
							</p>
						))}
					</div>
				);
			})}
		</div>
	);
}

import { figure, plain } from "../lib/say";
import { addEntity, go, listOf, type PlanTube, type Route, units, view } from "../lib/state";
import { tubes } from "../lib/texttube";
import { Cells } from "../part/cells";
import { Entity } from "../part/entity";
import { titleOf } from "../part/known";
import { Later } from "../part/later";
import { LengthLine } from "../part/lengthline";
import { Page } from "../part/page";
import { Removed } from "../part/removed";
import { Resting } from "../part/resting";
import { SolidButton } from "../part/solidbutton";
import { TubeDrawing } from "../part/tubedrawing";
import { ViewSwitch } from "../part/viewswitch";

interface TubeProps {
	job: string;
	id: string;
}

// <Tube job={…} id="t-k3f9q2"> is one tube: where it starts, its section, its path piece by piece, and the
// length, end and aim that follow.
// Props: job, id.  Calls: addEntity, go.
export function Tube({ job, id }: TubeProps) {
	const plan = view.value?.plan.tubes?.find((t) => t.id === id);
	const path = listOf(job, "element", id);
	const add = async (type: "straight" | "bend") => {
		const added = await addEntity(job, "element", id, { type }).catch(() => "");
		const field = type === "straight" ? "length" : "turn";
		if (added !== "") go({ screen: "measure", job, slot: `element/${added}/${field}` });
	};
	return (
		<Page
			title={titleOf(job, "tube", id)}
			back={{ screen: "tubes", job }}
			extra={
				<>
					<SolidButton job={job} tube={id} />
					<ViewSwitch />
				</>
			}
			foot={
				<div class="row">
					<button type="button" class="primary grow" data-test="add-straight" onClick={() => add("straight")}>
						{tubes.addStraight}
					</button>
					<button type="button" class="primary grow" data-test="add-bend" onClick={() => add("bend")}>
						{tubes.addBend}
					</button>
				</div>
			}
		>
			<div class="split">
				<div class="split-figure stack">
					<div class="card stack">
						<LengthLine id={id} plan={plan} />
						<Resting job={job} slots={plan?.disputed} />
						<End plan={plan} />
					</div>
					{plan?.xyz && (
						<TubeDrawing
							title={titleOf(job, "tube", id)}
							points={plan.xyz}
							doubt={(plan.end?.disputed.length ?? 0) > 0}
						/>
					)}
				</div>
				<div class="stack">
					<section class="card">
						<Cells job={job} kind="tube" id={id} />
					</section>
					<nav class="stack">
						<Onward
							test="to-mockup"
							name={tubes.mockup}
							say={tubes.mockupPoints(listOf(job, "mark", id).length)}
							to={{ screen: "mockup", job, id }}
						/>
						<Onward
							test="to-bender"
							name={tubes.bender}
							say={tubes.benderHint}
							to={{ screen: "bender", job, id }}
						/>
						<Onward
							test="to-filling"
							name={tubes.filling}
							say={tubes.fillingHint}
							to={{ screen: "filling", job, id }}
						/>
					</nav>
					<section class="stack">
						<h2>{tubes.path}</h2>
						{path.length === 0 && <p class="soft">{tubes.emptyPath}</p>}
						<ol class="stack">
							{path.map((e) => (
								<Entity key={e.id} job={job} kind="element" id={e.id} leave={["type"]} />
							))}
						</ol>
						<Removed job={job} kind="element" parent={id} />
					</section>
					<Later load={tubeFit} with={{ job, id }} />
				</div>
			</div>
		</Page>
	);
}

const tubeFit = () => import("./further").then((m) => m.TubeFit);

function Onward({ test, name, say, to }: { test: string; name: string; say: string; to: Route }) {
	return (
		<button type="button" class="card step" data-test={test} onClick={() => go(to)}>
			<strong class="grow">{name}</strong>
			<span class="soft">{say}</span>
			<span class="act">▸</span>
		</button>
	);
}

function End({ plan }: { plan: PlanTube | undefined }) {
	if (!plan?.end) return null;
	const { at, dir } = plan.end;
	const u = units.value;
	return (
		<table class="end-table">
			<thead>
				<tr>
					<th />
					<th class="num">{`x, ${u}`}</th>
					<th class="num">{`y, ${u}`}</th>
					<th class="num">{`z, ${u}`}</th>
				</tr>
			</thead>
			<tbody>
				<tr>
					<th>{tubes.end}</th>
					{at.map((v, i) => (
						<td class="num" key={AXES[i]}>
							{figure(v, u)}
						</td>
					))}
				</tr>
				<tr>
					<th>{tubes.aim}</th>
					{dir.map((v, i) => (
						<td class="num" key={AXES[i]}>
							{plain(v)}
						</td>
					))}
				</tr>
			</tbody>
			<caption class="soft small">{tubes.endHint}</caption>
		</table>
	);
}

const AXES = ["x", "y", "z"] as const;

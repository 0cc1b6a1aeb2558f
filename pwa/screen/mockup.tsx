import { addEntity, go, listOf, type ReadingInput, view } from "../lib/state";
import { around } from "../lib/textaround";
import { Entity } from "../part/entity";
import { straightOf, titleOf, word } from "../part/known";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { Removed } from "../part/removed";
import { Survey } from "../part/tubefit";
import { ViewSwitch } from "../part/viewswitch";

/** Points that are asked for on each straight: with two nobody can tell which one is off. */
const ASKED = 3;

interface MockupProps {
	job: string;
	id: string;
}

// <Mockup job={…} id="t1"> takes what is measured of the mock-up of a tube: centre points by straight, and the
// bends between; the foot goes on to the next point, or to the next straight once three are there.
// Props: job, id (of the tube).  Calls: addEntity, go.
export function Mockup({ job, id }: MockupProps) {
	const marks = listOf(job, "mark", id);
	const crooks = listOf(job, "crook", id);
	const on = (n: number) => marks.filter((m) => Number(straightOf(job, m.id)) === n);
	const after = (n: number) => crooks.filter((c) => Number(word(job, `crook/${c.id}/after`)) === n);
	const last = Math.max(1, ...marks.map((m) => Number(straightOf(job, m.id)) || 0));
	const isSpare = (c: { id: string }, n: number) => {
		const used = after(n).find((o) => word(job, `crook/${o.id}/clr`) !== "");
		return after(n).length > 1 && c.id !== used?.id;
	};
	const loose = crooks.filter((c) => !(Number(word(job, `crook/${c.id}/after`)) < last));
	const lost = marks.filter((m) => !(Number(straightOf(job, m.id)) >= 1));
	const plan = view.value?.plan.tubes?.find((t) => t.id === id);
	const suspect = plan?.survey?.suspect?.mark;
	const isFull = on(last).length >= ASKED;

	const point = async (n: number) => {
		const added = await addEntity(job, "mark", id, { straight: whole(n) }).catch(() => "");
		if (added !== "") go({ screen: "measure", job, slot: `mark/${added}/x` });
	};
	const bend = async (n: number) => {
		const added = await addEntity(job, "crook", id, { after: whole(n) }).catch(() => "");
		if (added !== "") go({ screen: "measure", job, slot: `crook/${added}/clr` });
	};
	return (
		<Page
			title={around.mockup.title(titleOf(job, "tube", id))}
			back={{ screen: "tube", job, id }}
			extra={<ViewSwitch />}
			foot={
				<div class="row">
					<button
						type="button"
						class={isFull ? "grow" : "primary grow"}
						data-test="next-point"
						onClick={() => point(last)}
					>
						{marks.length === 0 ? around.mockup.first : around.mockup.nextPoint(last)}
						<span class="small"> · {around.mockup.points(on(last).length)}</span>
					</button>
					{marks.length > 0 && (
						<button
							type="button"
							class={isFull ? "primary grow" : "grow"}
							data-test="next-straight"
							onClick={() => point(last + 1)}
						>
							{around.mockup.nextStraight(last + 1)}
						</button>
					)}
				</div>
			}
		>
			<p class="soft">{around.mockup.why}</p>
			<Survey job={job} plan={plan} />
			{marks.length > 0 &&
				Array.from({ length: last }, (_, i) => i + 1).map((n) => (
					<section key={n} class="stack" data-test={`straight:${n}`}>
						<div class="row">
							<h2 class="grow">{around.mockup.straight(n)}</h2>
							<span class="soft">{around.mockup.points(on(n).length)}</span>
							{n < last && (
								<button type="button" data-test={`point-on:${n}`} onClick={() => point(n)}>
									{around.mockup.nextPoint(n)}
								</button>
							)}
						</div>
						<ol class="stack">
							{on(n).map((m) => (
								<Entity key={m.id} job={job} kind="mark" id={m.id} leave={["straight"]}>
									{m.id === suspect && (
										<span class="row">
											<Mark kind="warn" />
											{around.mockup.suspect}
										</span>
									)}
								</Entity>
							))}
						</ol>
						{n < last && (
							<>
								{after(n).length === 0 && (
									<button type="button" data-test={`add-bend:${n}`} onClick={() => bend(n)}>
										{around.mockup.addBend(n)}
									</button>
								)}
								<ol class="stack">
									{after(n).map((c) => (
										<Entity
											key={c.id}
											job={job}
											kind="crook"
											id={c.id}
											leave={after(n).length > 1 ? [] : ["after"]}
										>
											{isSpare(c, n) && (
												<span class="row" data-test={`spare:${c.id}`}>
													<Mark kind="warn" />
													{around.mockup.spare}
												</span>
											)}
										</Entity>
									))}
								</ol>
							</>
						)}
					</section>
				))}
			{lost.length + loose.length > 0 && (
				<ol class="stack">
					{lost.map((m) => (
						<Entity key={m.id} job={job} kind="mark" id={m.id} />
					))}
					{loose.map((c) => (
						<Entity key={c.id} job={job} kind="crook" id={c.id}>
							<span class="row">
								<Mark kind="note" />
								{around.mockup.loose}
							</span>
						</Entity>
					))}
				</ol>
			)}
			<Removed job={job} kind="mark" parent={id} />
			<Removed job={job} kind="crook" parent={id} />
		</Page>
	);
}

const whole = (n: number): ReadingInput => ({
	text: `${n}`,
	unit: "1",
	v: n * 1e6,
	res: 0,
	quantity: "number",
	tool: "",
});

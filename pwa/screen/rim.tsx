import { asked } from "../lib/fields";
import { plain } from "../lib/say";
import { addEntity, go, keepReading, listOf, type ReadingInput, saveDraft, view } from "../lib/state";
import { flange } from "../lib/textflange";
import { measure as measureWords } from "../lib/textmeasure";
import { Asking, useForm } from "../part/asking";
import { Entity } from "../part/entity";
import { FindingsOf, findingsOf } from "../part/findingsof";
import { FitOffer } from "../part/fitoffer";
import { known, ownerTitle, word } from "../part/known";
import { Page } from "../part/page";
import { PhotoButton } from "../part/photobutton";
import { Removed } from "../part/removed";
import { length, planOf, pointKind, RimDrawing, type RimTrial } from "../part/rimdrawing";
import { tellSaved } from "../part/savednote";
import { ViewSwitch } from "../part/viewswitch";
import { Figure } from "./figure";
import { ownerRoute } from "./measure";

/** As many points are asked for, and so many are the least. */
const ASKED = 16;
const LEAST = 8;

interface RimProps {
	job: string;
	slot: string;
	look: boolean;
}

// <Rim job={…} slot="port/p3" look={false}> takes the points of a measured outline one after the other, x and then
// y, and draws them as they come; to look at them, and once there are 16, it shows the outline, what few points
// cost, the shape that they may be, and the list.
// Props: job, slot (of a port or an opening), look (at them, not on to the next).  Calls: go.
export function Rim({ job, slot, look }: RimProps) {
	const [kind = "", id = ""] = slot.split("/");
	const of = pointKind(kind);
	const points = listOf(job, of, id);
	const half = points.findIndex((p) => AXES.some((a) => !isRead(job, `${of}/${p.id}/${a}`)));
	if (look || (half < 0 && points.length >= ASKED)) return <Look job={job} slot={slot} />;
	const at = half < 0 ? points.length : half;
	const pid = points[half]?.id ?? "";
	const axis = pid === "" || !isRead(job, `${of}/${pid}/x`) ? "x" : "y";
	return <Point key={`${pid} ${at} ${axis}`} job={job} slot={slot} pid={pid} n={at + 1} axis={axis} />;
}

const AXES = ["x", "y"] as const;

const isRead = (job: string, slot: string) => known(job, slot).state !== "missing";

interface PointProps {
	job: string;
	slot: string;
	pid: string;
	n: number;
	axis: "x" | "y";
}

// One figure of one point. The point begins with its x; until then what is typed is kept under a name of its own.
function Point({ job, slot, pid, n, axis }: PointProps) {
	const [kind = "", id = ""] = slot.split("/");
	const of = pointKind(kind);
	const asks = `${of}/${pid || `next-${id}`}/${axis}`;
	const table = asked(asks);
	const { form, fault } = useForm(job, asks);
	if (!table) return <p class="fault">{measureWords.formError(asks)}</p>;
	const keep = async (r: ReadingInput, said: string) => {
		if (!form) return;
		if (pid === "") {
			await addEntity(job, of, id, { [axis]: r });
			saveDraft(form.key, "");
		} else await keepReading(form, r);
		tellSaved(flange.rim.saved(n, axis, said));
	};
	const there = listOf(job, of, id).length;
	// once a person knows how it goes, what the points are worth is of more help
	const help = there < 2 ? table.field.help : costOf(job, slot);
	const ask = { ...table, field: { ...table.field, ...(help && { help }) } };
	const x = pid === "" ? null : length(job, `${of}/${pid}/x`);
	const drawing = (mm: number | null) => {
		const trial: RimTrial = { axis, mm, x };
		return <RimDrawing job={job} kind={kind} id={id} trial={trial} />;
	};
	return (
		<Asking
			owner={flange.rim.title(ownerTitle(job, slot))}
			title={flange.rim.point(n, axis)}
			onBack={() => go(ownerRoute(job, slot))}
			fault={fault}
			extra={<strong data-test="rim-count">{flange.rim.of(axis === "y" ? there - 1 : there)}</strong>}
			class="rim-look"
		>
			{form && (
				<Figure
					job={job}
					ask={ask}
					form={form}
					onKeep={keep}
					onSkip={() => go({ screen: "rim", job, slot, id: "look" })}
					drawing={drawing}
					photo={`${slot}/photo`}
					words={{ keep: axis === "x" ? flange.rim.nextY : flange.rim.nextPoint, skip: flange.rim.look }}
				/>
			)}
		</Asking>
	);
}

// <Look> is the outline with its points as a list, what they are worth, and the shape that they may be.
function Look({ job, slot }: { job: string; slot: string }) {
	const [kind = "", id = ""] = slot.split("/");
	const of = pointKind(kind);
	const points = listOf(job, of, id);
	const t = flange.rim;
	const isUsed = word(job, `${slot}/shape`) === "points";
	const found = findingsOf(job, kind, id).filter((f) => f.rule.startsWith("port-"));
	const next = () => go({ screen: "rim", job, slot });
	return (
		<Page
			title={t.title(ownerTitle(job, slot))}
			back={ownerRoute(job, slot)}
			extra={<ViewSwitch />}
			foot={
				<div class="row">
					{points.length < ASKED ? (
						<button type="button" class="primary grow" data-test="rim-next" onClick={next}>
							{t.more(points.length + 1)}
						</button>
					) : (
						<button type="button" class="grow" data-test="rim-more" onClick={() => addNext(job, of, id)}>
							{t.more(points.length + 1)}
						</button>
					)}
					<button
						type="button"
						class={points.length < ASKED ? "grow" : "primary grow"}
						data-test="rim-done"
						onClick={() => go(ownerRoute(job, slot))}
					>
						{t.done}
					</button>
				</div>
			}
		>
			<div class="split">
				<div class="split-figure stack">
					<section class="card stack">
						<RimDrawing
							job={job}
							kind={kind}
							id={id}
							fit={kind === "port" && isUsed ? (planOf(job, id)?.fit ?? null) : null}
						/>
						<div class="row">
							<div class="grow">
								<p>
									<strong data-test="rim-count">{t.of(points.length)}</strong>
									{" · "}
									{isUsed ? t.used : t.notUsed}
								</p>
								<p class="soft" data-test="rim-cost">
									{costOf(job, slot)}
								</p>
							</div>
							<PhotoButton job={job} slot={`${slot}/photo`} />
						</div>
					</section>
					{kind === "port" && <FitOffer job={job} port={id} />}
					{found.length > 0 && <FindingsOf job={job} list={found} />}
				</div>
				<section class="stack">
					<h2>{t.list}</h2>
					<ol class="stack">
						{points.map((p) => (
							<Entity key={p.id} job={job} kind={of} id={p.id} />
						))}
					</ol>
					<Removed job={job} kind={of} parent={id} />
				</section>
			</div>
		</Page>
	);
}

// More than 16 are welcome, one at a time.
async function addNext(job: string, of: string, parent: string): Promise<void> {
	const id = await addEntity(job, of, parent, {}).catch(() => "");
	if (id !== "") go({ screen: "measure", job, slot: `${of}/${id}/x` });
}

// What the points are worth, or how many are still wanted.
function costOf(job: string, slot: string): string {
	const [kind = "", id = ""] = slot.split("/");
	const t = flange.rim;
	const n = listOf(job, pointKind(kind), id).filter((p) =>
		AXES.every((a) => isRead(job, `${pointKind(kind)}/${p.id}/${a}`)),
	).length;
	if (n < LEAST) return t.least(LEAST - n);
	const isHalf = n < listOf(job, pointKind(kind), id).length;
	if (kind !== "port" || isHalf || view.value?.stale) return n < ASKED ? t.more16 : "";
	const plan = planOf(job, id);
	const u = plan?.uncertain;
	const words = u
		? [t.cost(plan?.points ?? n, plain(round(u.area_percent)), plain(round(u.perimeter_percent)))]
		: [];
	if (!u && word(job, `${slot}/shape`) === "points") words.push(t.wrong);
	else if (u && !plan?.at) words.push(t.noPlace);
	if (n < ASKED) words.push(t.more16);
	return words.join(" ");
}

const round = (v: number) => Math.round(v * 10) / 10;

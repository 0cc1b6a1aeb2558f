import type { ComponentChildren } from "preact";
import { between } from "../lib/order";
import { keepReading, type ListItem, openForm, removeEntity } from "../lib/state";
import { bank } from "../lib/textbank";
import { Cells } from "./cells";
import { known, siblings, titleOf } from "./known";
import { PhotoButton } from "./photobutton";
import { Photos } from "./photos";
import { Resting } from "./resting";
import { offerUndo } from "./undo";

interface EntityProps {
	job: string;
	kind: string;
	id: string;
	leave?: string[];
	children?: ComponentChildren;
	below?: ComponentChildren;
}

// <Entity job={…} kind="bolt" id="b-k3f9q2"> is one entry of a list: its name, its fields, and the
// buttons that move it up or down its list or take it out, with ten seconds to undo.
// Props: job, kind, id, leave (fields not to show), children (beside the name), below (under the fields).
// Calls: openForm and keepReading (of its order), removeEntity, and the undo that it returned.
export function Entity({ job, kind, id, leave = [], children, below }: EntityProps) {
	const title = titleOf(job, kind, id);
	const list = siblings(job, kind, id);
	const at = list.findIndex((e) => e.id === id);
	const remove = async () => {
		const undo = await removeEntity(job, kind, id);
		offerUndo(bank.removed(title), undo);
	};
	return (
		<li class="entity card" data-test={`entity:${id}`}>
			<div class="row">
				<h3 class="grow">{title}</h3>
				{children}
				<PhotoButton job={job} slot={`${kind}/${id}/photo`} what={title} />
				<Tool
					name="up"
					say={bank.up(title)}
					path="M5 15l7-7 7 7"
					off={at <= 0}
					test={`up:${id}`}
					onTap={() => move(job, kind, list, at, -1)}
				/>
				<Tool
					name="down"
					say={bank.down(title)}
					path="M5 9l7 7 7-7"
					off={at < 0 || at === list.length - 1}
					test={`down:${id}`}
					onTap={() => move(job, kind, list, at, 1)}
				/>
				<Tool
					name="remove"
					say={bank.remove(title)}
					path="M6 6l12 12M18 6 6 18"
					off={false}
					test={`remove:${id}`}
					onTap={remove}
				/>
			</div>
			{known(job, `${kind}/${id}/order`).state === "disputed" && (
				<Resting job={job} slots={[`${kind}/${id}/order`]} />
			)}
			<Cells job={job} kind={kind} id={id} leave={leave} />
			{below}
			<Photos job={job} slot={`${kind}/${id}/photo`} />
		</li>
	);
}

// move gives the entry a key beyond its neighbour; no other entry changes.
async function move(job: string, kind: string, list: ListItem[], at: number, by: 1 | -1) {
	const id = list[at]?.id ?? "";
	const beyond = list[at + by]?.order ?? "";
	const next = list[at + 2 * by]?.order ?? "";
	const order = by === 1 ? between(beyond, next) : between(next, beyond);
	const form = await openForm(job, `${kind}/${id}/order`);
	await keepReading(form, { text: order, unit: "word", v: 0, res: 0, quantity: "word", tool: "" });
}

interface ToolProps {
	name: string;
	say: string;
	path: string;
	off: boolean;
	test: string;
	onTap: () => void;
}

function Tool({ name, say, path, off, test, onTap }: ToolProps) {
	return (
		<button
			type="button"
			class={`tool tool-${name}`}
			aria-label={say}
			disabled={off}
			data-test={test}
			onClick={onTap}
		>
			<svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true" focusable="false">
				<path d={path} fill="none" stroke="currentColor" stroke-width="2.5" stroke-linecap="round" />
			</svg>
		</button>
	);
}

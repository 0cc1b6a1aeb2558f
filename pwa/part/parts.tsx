import { go } from "../lib/state";

interface PartsProps<P extends string> {
	screen: string;
	job: string;
	parts: readonly P[];
	here: P;
	label: string;
	names: Record<P, string>;
}

// <Parts screen="weld" job={…} parts={…} here="order" label={…} names={…}> are the pages of one subject, beside each
// other at the head of each.
// Props: screen that they are parts of, job, parts in order, here (which is looked at), label (for readers), names.
// Calls: go.
export function Parts<P extends string>({ screen, job, parts, here, label, names }: PartsProps<P>) {
	return (
		<nav class="parts" aria-label={label}>
			{parts.map((p) => (
				<button
					key={p}
					type="button"
					class={p === here ? "picked" : ""}
					aria-current={p === here ? "page" : undefined}
					data-test={`part:${p}`}
					onClick={() => go({ screen, job, id: p })}
				>
					{names[p]}
				</button>
			))}
		</nav>
	);
}

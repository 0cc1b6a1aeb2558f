import type { ComponentChildren } from "preact";
import { calc, go, view } from "../lib/state";
import { text } from "../lib/text";
import type { Route } from "../lib/typesapp";
import { Back } from "./back";
import { SavedNote } from "./savednote";

interface PageProps {
	title: string;
	back?: Route;
	extra?: ComponentChildren;
	foot?: ComponentChildren;
	children: ComponentChildren;
}

// <Page title="Bank A" back={…}> is the frame of one screen: the way back, the title, the content and
// the main action at the foot, in reach of the thumb.
// Props: title, back (where "back" leads), extra (beside the title), foot, children.  Calls: go.
export function Page({ title, back, extra, foot, children }: PageProps) {
	return (
		<main class="page">
			<header class="page-head">
				{back && <Back onBack={() => go(back)} />}
				<h1 class="grow">{title}</h1>
				{extra}
			</header>
			<div class="page-line">
				<SavedNote />
				{view.value?.stale && <p class="calc-note">{text.status.calcBusy}</p>}
			</div>
			{calc.value.error !== "" && <p class="doubt">{text.status.calcError(calc.value.error)}</p>}
			<div class="page-body">{children}</div>
			{foot && <footer class="page-foot">{foot}</footer>}
		</main>
	);
}

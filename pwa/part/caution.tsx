import type { ComponentChildren } from "preact";
import { text } from "../lib/text";

// <Caution> stands once at the foot of pages from which metal is cut.
// Props: children (what the page adds to it).  Calls: nothing.
export function Caution({ children }: { children?: ComponentChildren }) {
	return (
		<aside class="caution" data-test="caution">
			<p>{text.caution.start}</p>
			<p>{text.caution.cutting}</p>
			{children}
		</aside>
	);
}

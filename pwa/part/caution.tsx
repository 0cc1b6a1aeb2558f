import { text } from "../lib/text";

// <Caution> stands once at the foot of pages from which metal is cut.
// Props: none.  Calls: nothing.
export function Caution() {
	return (
		<aside class="caution">
			<p>{text.caution.start}</p>
			<p>{text.caution.cutting}</p>
		</aside>
	);
}

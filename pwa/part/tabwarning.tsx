import { status } from "../lib/state";
import { text } from "../lib/text";
import { Mark } from "./mark";

// <TabWarning> stays on screen while a tablet shows the app in a tab of its browser.
// Props: none.  Calls: nothing.
export function TabWarning() {
	if (!status.value.isPlainTab) return null;
	return (
		<p class="tab-warning" role="note" data-test="plain-tab">
			<Mark kind="warn" />
			<span class="grow">{text.tab.warning}</span>
		</p>
	);
}

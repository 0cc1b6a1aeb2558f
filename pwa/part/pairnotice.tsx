import { pairing } from "../lib/pairing";
import { go, route } from "../lib/state";
import { text } from "../lib/text";
import { Mark } from "./mark";

// <PairNotice> stands below the status line while the shop does not let this tablet in. It changes nothing
// but what is said: entry goes on.
// Props: none.  Calls: go.
export function PairNotice() {
	const { stand, hasToken, aside } = pairing.value;
	if (stand !== "barred" && stand !== "revoked") return null;
	const words =
		stand === "revoked" ? text.pair.revoked(aside) : hasToken ? text.pair.barredAgain : text.pair.barred;
	return (
		<div class="status-notice row" role="status" data-test="pair-notice" data-stand={stand}>
			<Mark kind="warn" />
			<span class="grow">{words}</span>
			{route.value.screen !== "pair" && (
				<button type="button" data-test="pair-go" onClick={() => go({ screen: "pair" })}>
					{text.pair.go}
				</button>
			)}
		</div>
	);
}

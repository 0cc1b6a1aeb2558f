import { pairing } from "../lib/pairing";
import { go, route } from "../lib/state";
import { pair } from "../lib/textpair";
import { Mark } from "./mark";

// <PairNotice> stands below the status line while the shop does not let this tablet in. It changes nothing
// but what is said: entry goes on. The pairing page itself says it of a tablet that was never paired.
// Props: none.  Calls: go.
export function PairNotice() {
	const { stand, hasToken, aside, left, leftWhy } = pairing.value;
	const isPairing = route.value.screen === "pair";
	if (stand !== "barred" && stand !== "revoked") return null;
	if (stand === "barred" && !hasToken && isPairing) return null;
	const words =
		stand === "revoked" ? pair.revoked(aside, left, leftWhy) : hasToken ? pair.barredAgain : pair.barred;
	return (
		<div class="status-notice row" role="status" data-test="pair-notice" data-stand={stand}>
			<Mark kind="warn" />
			<span class="grow">{words}</span>
			{!isPairing && (
				<button type="button" data-test="pair-go" onClick={() => go({ screen: "pair" })}>
					{pair.go}
				</button>
			)}
		</div>
	);
}

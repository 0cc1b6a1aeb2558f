import { may } from "../lib/pairing";
import { pair } from "../lib/textpair";
import { Mark } from "./mark";

// <BenchOnly kind="piece"> says why a tablet for measuring is not offered what it would not get through; nothing on
// any other.
// Props: kind (of the records that it would make).  Calls: nothing.
export function BenchOnly({ kind }: { kind: keyof typeof pair.benchOnly }) {
	if (may(kind)) return null;
	return (
		<p class="row" data-test={`bench-only:${kind}`}>
			<Mark kind="note" />
			<span>{pair.benchOnly[kind]}</span>
		</p>
	);
}

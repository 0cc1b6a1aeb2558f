import { useState } from "preact/hooks";
import { whyNot } from "../lib/lookup";
import type { Reach } from "../lib/reach";
import { reach } from "../lib/textpair";
import { Mark } from "./mark";

// <WhyNot> finds out why the shop is not reached, and says what to do; for while the link is down.
// Props: none.  Calls: whyNot.
export function WhyNot() {
	const [found, setFound] = useState<Reach | null>(null);
	const [busy, setBusy] = useState(false);
	const look = async () => {
		setBusy(true);
		setFound(null);
		setFound(await whyNot());
		setBusy(false);
	};
	return (
		<section class="card stack" data-test="why-not" data-cause={found?.cause ?? ""}>
			<div class="row">
				<h2 class="grow">{reach.title}</h2>
				<button type="button" data-test="why-look" disabled={busy} onClick={look}>
					{busy ? reach.looking : reach.look}
				</button>
			</div>
			{found && (
				<div class="stack" role="status">
					<p class="row">
						<Mark kind={found.cause === "answers" ? "agreed" : "warn"} />
						<strong class="grow" data-test="why-cause">
							{reach.cause[found.cause === "route" && !found.isSure ? "route?" : found.cause]}
						</strong>
					</p>
					{!found.isSure && <p class="soft">{found.cause === "route" ? reach.likely : reach.unsure}</p>}
					<p data-test="why-todo">
						{reach.todo[found.cause]}
						{found.cause.startsWith("refused") && ` ${reach.trust(location.hostname)}`}
					</p>
					{found.said !== "" && <p class="soft">{found.said}</p>}
					<p class="soft small">
						{reach.took((found.ms / 1000).toFixed(1))}. {reach.goesOn}
					</p>
				</div>
			)}
		</section>
	);
}

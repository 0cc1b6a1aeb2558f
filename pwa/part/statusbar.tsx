import { pairing } from "../lib/pairing";
import { sending } from "../lib/photos";
import { clock, span } from "../lib/say";
import { go, jobs, ready, route, status } from "../lib/state";
import { text } from "../lib/text";
import { saved } from "../lib/textsaved";
import { Bars } from "./bars";
import { Mark } from "./mark";
import { Notices } from "./notices";
import { now } from "./now";
import { SaveFile } from "./savefile";

const HOUR = 3600_000;

// <StatusBar> is always on screen: what is on this tablet only, whether the shop is there and when it
// was last heard. A red bar stands above it while this tablet cannot write.
// Props: none but calls.  Calls: go to the page "saved"; onRetry where the storage did not even open.
export function StatusBar({ onRetry }: { onRetry: () => void }) {
	const s = status.value;
	const photos = sending.value.waiting;
	const wait = s.oldestUnsent === null ? 0 : now.value - s.oldestUnsent;
	const late = wait > 8 * HOUR ? "late-stop" : wait > HOUR ? "late-warn" : "";
	// of a shop that does not know this tablet nothing is said
	const isEmpty = s.unsent + photos === 0 && jobs.value.length === 0 && pairing.value.stand !== "known";
	return (
		<section class="status" aria-label={saved.title}>
			{s.storage === "waiting" && (
				<div class="not-saved" role="alert" data-test="storage-waits">
					<span class="grow">{s.storageError}</span>
					<button type="button" onClick={() => location.reload()}>
						{text.status.retry}
					</button>
				</div>
			)}
			{s.storage === "failing" && (
				<NotSaved why={s.storageError} onRetry={ready.value ? () => location.reload() : onRetry} />
			)}
			<button
				type="button"
				class={`status-line ${late}`}
				onClick={() => go({ ...route.value, screen: "saved" })}
			>
				<span data-test="status-unsent" data-count={s.unsent} data-photos={photos}>
					{isEmpty ? (
						text.status.nothingYet
					) : (
						<Bars at={s.unsent + photos > 0 ? "tablet" : "shop"} words={unsentWords(s.unsent, photos)} />
					)}
				</span>
				{late && <span>{text.status.oldUnsent(span(wait))}</span>}
				{s.persisted === false && (
					<span class="bars soft" data-test="status-persist">
						<Mark kind="warn" />
						{text.status.notKept}
					</span>
				)}
				<span class="grow" />
				{s.update && (
					<span data-test="status-update" class="late-warn">
						{saved.updateShort}
					</span>
				)}
				<span data-test="status-link" data-link={s.link} class={`link link-${s.link}`}>
					{linkWords(s.link)}
				</span>
				<span>
					{s.shopHeard === null
						? text.status.shopNever
						: text.status.shopHeard(clock(s.shopHeard, now.value))}
				</span>
			</button>
			<Notices />
		</section>
	);
}

// While the shop does not let this tablet in, that is what there is to say of the link.
function linkWords(link: keyof typeof text.status.link): string {
	const { stand } = pairing.value;
	if (stand === "barred") return text.status.notPaired;
	return stand === "revoked" ? text.status.revoked : text.status.link[link];
}

const unsentWords = (records: number, photos: number) => {
	if (photos === 0) return records > 0 ? text.status.tabletOnly(records) : text.status.allSent;
	return text.status.photosOnly(records, photos);
};

function NotSaved({ why, onRetry }: { why: string; onRetry: () => void }) {
	return (
		<div class="not-saved" role="alert">
			<strong>{text.status.notSaved}</strong>
			<span class="grow">{ready.value ? text.status.notSavedWhy : text.status.notOpenWhy(why)}</span>
			<span class="row">
				{ready.value && <SaveFile />}
				<button type="button" onClick={onRetry}>
					{text.status.retry}
				</button>
			</span>
		</div>
	);
}

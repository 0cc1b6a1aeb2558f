import { sending } from "../lib/photos";
import { seenLoss, status } from "../lib/state";
import { text } from "../lib/text";
import { Mark } from "./mark";
import { PairNotice } from "./pairnotice";

const CLOCK_MS = 120_000;

/** isClockOff tells whether the tablet's clock is far enough from the shop's to be spoken of. */
export const isClockOff = (offset: number | null) => offset !== null && Math.abs(offset) > CLOCK_MS;

/** clockWords says how far the tablet's clock is off. */
export const clockWords = (offset: number | null) => text.status.clock(Math.round(-(offset ?? 0) / 60_000));

// <Notices> are the sentences below the status line: what was lost, what is full, which clock is off.
// Props: none.  Calls: seenLoss.
export function Notices() {
	const s = status.value;
	return (
		<>
			{s.lost && (
				<div class="status-notice row" role="alert" data-test="lost">
					<Mark kind="stop" />
					<span class="grow">{text.lost(s.lost.gone, s.lost.back, s.lost.isLooking)}</span>
					<button type="button" data-test="lost-seen" onClick={() => void seenLoss()}>
						{text.seen}
					</button>
				</div>
			)}
			<PairNotice />
			{!s.hasSpare && (
				<p class="status-notice" role="status" data-test="full">
					{text.status.full}
				</p>
			)}
			{isClockOff(s.clockOffsetMs) && (
				<p class="status-notice" role="status" data-test="clock-off">
					{clockWords(s.clockOffsetMs)}
				</p>
			)}
			{sending.value.sentence !== "" && (
				<p class="status-notice" role="status" data-test="photo-notice">
					{sending.value.sentence}
				</p>
			)}
			{s.notice !== "" && (
				<p class="status-notice" role="status">
					{s.notice}
				</p>
			)}
		</>
	);
}

import type { BoardTablet } from "../lib/board";
import { clock } from "../lib/say";
import { wall } from "../lib/textwall";
import { Mark } from "./mark";

const SILENT_MS = 25_000; // a tablet says something every 10 s

// Longer than one that is here would be.
const isSilent = (t: BoardTablet, shopNow: number) => shopNow - t.last_ms > SILENT_MS;

// <WallTablets tablets={…} now={ms} room={6}> says of each tablet when it was last heard and what is on
// it only. What may be missing from the shop stands first, and is never what there is no room for.
// Props: tablets, now (the shop's clock), room (how many can be shown).  Calls: nothing.
export function WallTablets({ tablets, now, room }: { tablets: BoardTablet[]; now: number; room: number }) {
	const rank = (t: BoardTablet) => (isSilent(t, now) ? (t.unsent > 0 ? 0 : 2) : 1);
	const sorted = [...tablets].sort((a, b) => rank(a) - rank(b) || b.last_ms - a.last_ms);
	const shown = sorted.slice(0, sorted.length > room ? room - 1 : room);
	return (
		<>
			{shown.map((t) => {
				const silent = isSilent(t, now);
				const off = silent ? 0 : Math.round((t.clock_ms ?? 0) / 60_000);
				const said = [
					silent ? wall.lastHeard(clock(t.last_ms, now)) : wall.heard,
					t.unsent > 0 ? wall.unsent(t.unsent) : "",
					off !== 0 ? wall.clockOff(off) : "",
				];
				return (
					<span
						key={`${t.name} ${t.last_ms} ${t.unsent}`}
						class="wall-tablet"
						data-test="wall-tablet"
						data-state={silent ? "silent" : "heard"}
					>
						{off !== 0 || (silent && t.unsent > 0) ? (
							<Mark kind="warn" />
						) : (
							<span class={`link link-${silent ? "offline" : "live"}`} />
						)}
						<span class="wall-tablet-name">{t.name || wall.noTabletName}</span>
						<span>{said.filter((s) => s !== "").join(", ")}</span>
					</span>
				);
			})}
			{sorted.length > shown.length && <span>{wall.moreTablets(sorted.length - shown.length)}</span>}
		</>
	);
}

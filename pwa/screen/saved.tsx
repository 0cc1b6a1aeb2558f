import { useState } from "preact/hooks";
import { isExempt, pairing } from "../lib/pairing";
import { sending } from "../lib/photos";
import { age, clock, megabytes, span } from "../lib/say";
import { deviceName, person, type Route, route, status } from "../lib/state";
import { text } from "../lib/text";
import { file, saved } from "../lib/textsaved";
import { Bars } from "../part/bars";
import { Mark, type MarkKind } from "../part/mark";
import { clockWords, isClockOff } from "../part/notices";
import { NotTaken } from "../part/nottaken";
import { now } from "../part/now";
import { Page } from "../part/page";
import { PairingCard } from "../part/pairingcard";
import { SaveFile } from "../part/savefile";
import { TabWarning } from "../part/tabwarning";
import { ViewSwitch } from "../part/viewswitch";
import { WhyNot } from "../part/whynot";

interface SavedProps {
	onUpdate: () => void;
}

// <Saved> tells what is saved where, how the link and the storage are, and holds the names that go with
// every reading.
// Props: none but calls.  Calls: onUpdate once per tap; sets the signals person, deviceName, units.
export function Saved({ onUpdate }: SavedProps) {
	const [asking, setAsking] = useState(false);
	const s = status.value;
	const offset = s.clockOffsetMs;
	const isOff = isClockOff(offset);
	return (
		<Page title={saved.title} back={home(route.value)}>
			{s.update && ( // above what comes in late and would move it from under a finger
				<section class="card row update">
					<span class="grow">{saved.updateWaiting}</span>
					<button
						type="button"
						class="primary"
						data-test="update"
						disabled={asking}
						onClick={() => {
							setAsking(true);
							onUpdate();
						}}
					>
						{saved.update}
					</button>
				</section>
			)}
			<TabWarning />
			<section class="card">
				<dl class="facts">
					<Fact name={saved.onTablet}>
						<Bars at="tablet" words={saved.waiting(s.unsent, sending.value.waiting)} />
					</Fact>
					<Fact name={saved.unsentAge}>
						{s.oldestUnsent === null ? saved.nothing : span(now.value - s.oldestUnsent)}
					</Fact>
					<Fact name={saved.link}>{text.status.link[s.link]}</Fact>
					<Fact name={saved.heard}>
						{s.shopHeard === null
							? text.status.shopNever
							: `${clock(s.shopHeard, now.value)}, ${age(now.value - s.shopHeard)}`}
					</Fact>
					<Fact name={saved.clock} kind={isOff ? "warn" : undefined}>
						{offset === null ? saved.clockUnknown : isOff ? clockWords(offset) : saved.clockGood}
					</Fact>
					<Fact name={saved.persist} kind={s.persisted === false ? "warn" : undefined}>
						{s.persisted === null ? saved.persistUnknown : s.persisted ? saved.persistYes : saved.persistNo}
					</Fact>
					<Fact name={saved.storage} kind={s.storage === "ok" ? undefined : "stop"}>
						{s.storage === "ok" ? saved.storageGood : s.storageError}
					</Fact>
					<Fact name={saved.room}>
						<span data-test="room">
							{s.room === null
								? saved.roomUnknown
								: saved.roomOf(megabytes(s.room.usage), megabytes(s.room.quota))}
						</span>
					</Fact>
					<Fact name={saved.spare} kind={s.hasSpare ? undefined : "warn"}>
						{s.hasSpare ? saved.spareYes : saved.spareNo}
					</Fact>
					<Fact name={saved.build}>
						<span data-test="build">{s.build || text.none}</span>
					</Fact>
				</dl>
			</section>
			{s.link === "offline" && <WhyNot />}
			<NotTaken />
			<PairingCard />
			<section class="card stack">
				<h2>{file.title}</h2>
				<p class="soft">{file.why}</p>
				<SaveFile />
			</section>
			<section class="card stack">
				<h2>{saved.names}</h2>
				<NameField test="person" label={saved.person} of={person} />
				{!pairing.value.hasToken && (
					<NameField test="device-name" label={text.person.device(isExempt())} of={deviceName} />
				)}
				<div class="row">
					<span class="grow">{saved.units}</span>
					<ViewSwitch />
				</div>
			</section>
		</Page>
	);
}

interface FactProps {
	name: string;
	kind?: MarkKind | undefined;
	children: preact.ComponentChildren;
}

function Fact({ name, kind, children }: FactProps) {
	return (
		<div>
			<dt>{name}</dt>
			<dd class="row">
				{kind && <Mark kind={kind} />}
				<span class="grow">{children}</span>
			</dd>
		</div>
	);
}

// <NameField label="Who measures" of={person}> edits one of the two names; an empty name is not taken.
// Props: test, label, of (the signal).  Calls: sets the signal.
function NameField({ test, label, of }: { test: string; label: string; of: { value: string } }) {
	return (
		<label>
			<span class="cell-label">{label}</span>
			<input
				type="text"
				autoComplete="off"
				data-test={test}
				value={of.value}
				onInput={(e) => {
					const typed = e.currentTarget.value.trim();
					if (typed !== "") of.value = typed;
				}}
			/>
		</label>
	);
}

/** home is where "back" leads from a page that any page can open. */
const home = (r: Route): Route => (r.job ? { screen: "job", job: r.job } : { screen: "jobs" });

import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { claim, isExempt, offered, pairing } from "../lib/pairing";
import { browserProbes } from "../lib/probes";
import { type Checks, canPair, START, selftest } from "../lib/selftest";
import { go, person, status, writeProbe } from "../lib/state";
import { text } from "../lib/text";
import { pair as pairWords } from "../lib/textpair";
import { CodeForm } from "../part/codeform";
import { Mark } from "../part/mark";
import { Page } from "../part/page";
import { SelfTest } from "../part/selftest";

// <Pair> pairs this tablet with the shop: first what it can do, then the code, by a link or typed. A
// browser on the shop machine needs none of it.
// Props: none.  Calls: selftest, claim, go.
export function Pair() {
	const [lines, setLines] = useState(START);
	const [checks, setChecks] = useState<Checks | null>(null);
	const run = useRef(0); // what an earlier test still finds is not listened to
	const [again, setAgain] = useState(false);
	const exempt = isExempt();
	const { hasToken, stand, name, role } = pairing.value;
	const isPaired = hasToken && stand !== "barred" && stand !== "revoked";

	const test = useCallback(() => {
		const mine = ++run.current;
		setLines(START);
		setChecks(null);
		selftest(browserProbes(writeProbe), (l) => mine === run.current && setLines(l)).then(
			(c) => mine === run.current && setChecks(c),
		);
	}, []);
	useEffect(() => {
		if (!exempt) test();
		return () => {
			run.current++;
		};
	}, [exempt, test]);

	const back = { screen: "jobs" };
	if (exempt) {
		return (
			<Page title={pairWords.title} back={back}>
				<p class="card" data-test="pair-exempt">
					{pairWords.exempt}
				</p>
			</Page>
		);
	}
	const isAsking = !isPaired || again || offered.value !== "";
	return (
		<Page title={pairWords.title} back={back}>
			{status.value.isPlainTab && (
				<p class="tab-warning" role="note" data-test="pair-tab">
					<Mark kind="warn" />
					<span class="grow">{pairWords.tab}</span>
				</p>
			)}
			{isPaired && (
				<section class="card stack" data-test="pair-is">
					<p class="row">
						<Mark kind="agreed" />
						<strong class="grow">{pairWords.is(name, pairWords.roles[role] ?? role)}</strong>
					</p>
					{!isAsking && (
						<div class="row wrap">
							<button type="button" class="primary" data-test="pair-start" onClick={() => go(back)}>
								{person.value === "" ? text.person.go : pairWords.start}
							</button>
							<button type="button" data-test="pair-again" onClick={() => setAgain(true)}>
								{pairWords.again}
							</button>
						</div>
					)}
				</section>
			)}
			<div class={`${isAsking ? "pair" : "stack"} ${checks && !canPair(checks) ? "pair-red" : ""}`}>
				{isAsking && <Code checks={checks} onPaired={() => setAgain(false)} />}
				<SelfTest lines={lines} host={location.hostname} onAgain={test} />
			</div>
		</Page>
	);
}

interface CodeProps {
	checks: Checks | null;
	onPaired: () => void;
}

// <Code checks={…}> takes the code and pairs with it.
// Props: checks (null while the test goes on).  Calls: claim; onPaired once the token is on the disk.
function Code({ checks, onPaired }: CodeProps) {
	const isReady = checks !== null && canPair(checks);
	const wait = isReady ? "" : checks === null ? pairWords.testing : pairWords.testFirst;
	const pair = async (code: string) => {
		if (!checks) return;
		await claim(code, checks);
		onPaired();
	};
	return (
		<CodeForm
			key={offered.value}
			label={`${pairWords.code}; ${pairWords.codeHint}`}
			given={offered.value}
			wait={wait}
			onCode={pair}
		>
			<p class="soft">{pairWords.why}</p>
			{offered.value !== "" && (
				<div class="row wrap">
					<p class="grow" data-test="pair-linked">
						{pairWords.linked}
					</p>
					<button
						type="button"
						data-test="pair-type"
						onClick={() => {
							offered.value = "";
						}}
					>
						{pairWords.typeInstead}
					</button>
				</div>
			)}
		</CodeForm>
	);
}

import type { ComponentType } from "preact";
import { useEffect, useState } from "preact/hooks";
import { text } from "../lib/text";

interface LaterProps<P> {
	load: () => Promise<ComponentType<P>>;
	with: P;
}

// <Later load={() => import("../screen/photo").then((m) => m.Photo)} with={{ job }}> shows a screen that the
// app fetches (from the tablet itself) when it is first wanted, so that the start stays short.
// Props: load, with (the screen's own props).  Calls: nothing.
export function Later<P extends object>({ load, with: props }: LaterProps<P>) {
	const [Screen, setScreen] = useState<ComponentType<P> | null>(null);
	const [fault, setFault] = useState("");
	// biome-ignore lint/correctness/useExhaustiveDependencies: the screen is loaded once, for as long as this stands
	useEffect(() => {
		load().then(
			(made) => setScreen(() => made),
			(e: unknown) => setFault(String(e)),
		);
	}, []);
	if (fault !== "") return <p class="page fault">{text.status.notLoaded(fault)}</p>;
	return Screen ? <Screen {...props} /> : <p class="page soft">{text.loading}</p>;
}

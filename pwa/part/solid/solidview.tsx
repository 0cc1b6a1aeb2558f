import { useEffect, useRef, useState } from "preact/hooks";
import type { Tag } from "../../lib/solid/fixture";
import { gapKey } from "../../lib/solid/gaps";
import type { Item, Layer } from "../../lib/solid/model";
import { fitted, type Sight, slidBy, turnedBy, VIEWS, zoomed } from "../../lib/solid/sight";
import { units } from "../../lib/state";
import { solid } from "../../lib/textsolid";
import type { Point } from "../../lib/types";
import type { Plan } from "../../lib/typesplan";
import { listen } from "./fingers";
import { gapMiddle, Overlay, type Shot, shownGaps } from "./overlay";
import { NoGraphics, Stage } from "./stage";

export type Shown = Exclude<Layer, "head"> | "gaps";

interface SolidViewProps {
	plan: Plan;
	items: Item[];
	hidden: ReadonlySet<Shown>;
	marked: string;
	place: Point | null;
	numberOf: (tube: string) => string;
	nameOf: (neighbour: string) => string;
	tags?: Tag[];
	onMark: (of: string) => void;
}

const ZOOM = 1.35;
const STEP_PX = 24; // an arrow key turns as a finger does over so many pixels
const FINGER_PX = 26;
const ARROWS: Record<string, [number, number]> = {
	ArrowLeft: [-1, 0],
	ArrowRight: [1, 0],
	ArrowUp: [0, -1],
	ArrowDown: [0, 1],
};

// <SolidView plan={…} items={…}> draws things in three dimensions and lets one finger turn them. Its keys
// stand below it, never on it.
// Props: plan (gaps and names), items (what is drawn), hidden (layers left out), marked and its place (zooming
// keeps it where it is), numberOf (a tube's balloon), nameOf (of a neighbour), tags (names at places).  Calls: onMark ("" for nothing).
export function SolidView({
	plan,
	items,
	hidden,
	marked,
	place,
	numberOf,
	nameOf,
	tags = [],
	onMark,
}: SolidViewProps) {
	const host = useRef<HTMLDivElement>(null);
	const stage = useRef<Stage | null>(null);
	const sight = useRef<Sight | null>(null); // null until something was shown
	const whole = useRef(""); // the size in which all was fitted in; "" since a person looks at a part
	const [is, setIs] = useState<"drawn" | "lost" | "none">("drawn");
	const [anew, setAnew] = useState(0);
	const [slides, setSlides] = useState(false);
	const [shot, setShot] = useState<Shot | null>(null);

	const size = () => [host.current?.clientWidth || 1, host.current?.clientHeight || 1] as const;
	const look = (s: Sight) => {
		sight.current = s;
		stage.current?.look(s);
	};
	const fit = (from: Pick<Sight, "az" | "el">) => {
		const [wide, high] = size();
		whole.current = `${wide} ${high}`;
		look(fitted(from, stage.current?.reach() ?? [], wide / high));
	};
	const change = (by: (s: Sight, high: number) => Sight) => {
		whole.current = "";
		if (stage.current) look(by(stage.current.sight, size()[1]));
	};
	const now = useRef({ slides, plan, hidden, marked, onMark });
	now.current = { slides, plan, hidden, marked, onMark };

	// biome-ignore lint/correctness/useExhaustiveDependencies: one stage for as long as this stands, or until it is drawn anew
	useEffect(() => {
		const on = host.current;
		if (!on) return;
		let made: Stage;
		try {
			made = new Stage(on, sight.current ?? fitted(VIEWS.corner, [], 1), {
				drawn: (wide, high) => {
					setShot({ sight: made.sight, wide, high });
					if (whole.current !== "" && whole.current !== `${wide} ${high}`) fit(made.sight);
				},
				lost: () => setIs("lost"),
			});
		} catch (e) {
			if (!(e instanceof NoGraphics)) throw e;
			setIs("none");
			return;
		}
		stage.current = made;
		setIs("drawn");
		made.hide(layersIn(now.current.hidden));
		made.mark(now.current.marked);
		const middle = (s: Sight, x: number, y: number) =>
			slidBy(s, on.clientWidth / 2 - x, on.clientHeight / 2 - y, on.clientHeight).at;
		const deaf = listen(on, {
			move: (dx, dy) =>
				change((s, high) => (now.current.slides ? slidBy(s, dx, dy, high) : turnedBy(s, dx, dy))),
			pinch: (by, x, y, dx, dy) => change((s, high) => slidBy(zoomed(s, by, middle(s, x, y)), dx, dy, high)),
			tap: (x, y) => now.current.onMark(gapUnder(x, y) || made.at(x, y)),
		});
		const gapUnder = (x: number, y: number) => {
			const seen = { sight: made.sight, wide: on.clientWidth, high: on.clientHeight };
			const { plan, hidden, marked } = now.current;
			const near = (hidden.has("gaps") ? [] : shownGaps(plan, marked)).flatMap((g) => {
				const at = gapMiddle(g, seen);
				return at ? [{ key: gapKey(g), off: Math.hypot(at.x - x, at.y - y) }] : [];
			});
			const best = near.sort((a, b) => a.off - b.off)[0];
			return best && best.off < FINGER_PX ? best.key : "";
		};
		return () => {
			deaf();
			made.dispose();
			stage.current = null;
		};
	}, [anew]);

	// biome-ignore lint/correctness/useExhaustiveDependencies: shown anew, and whole where it was whole, when the things or the stage are others
	useEffect(() => {
		const on = stage.current;
		if (!on || !host.current) return;
		const began = performance.now();
		on.show(items);
		host.current.dataset.buildMs = (performance.now() - began).toFixed(1);
		if (!sight.current || whole.current !== "") fit(sight.current ?? VIEWS.corner);
	}, [items, anew]);
	useEffect(() => stage.current?.hide(layersIn(hidden)), [hidden]);
	useEffect(() => stage.current?.mark(marked), [marked]);

	const press = (e: KeyboardEvent) => {
		const by = ARROWS[e.key];
		if (by) change((s) => turnedBy(s, by[0] * STEP_PX, by[1] * STEP_PX));
		else if (e.key === "+" || e.key === "=") change((s) => zoomed(s, ZOOM, place ?? s.at));
		else if (e.key === "-") change((s) => zoomed(s, 1 / ZOOM, place ?? s.at));
		else return;
		e.preventDefault();
	};
	if (is === "none")
		return (
			<p class="card" role="status" data-test="solid-none">
				{solid.noGraphics}
			</p>
		);
	return (
		<div class="stack">
			<div class="solid-sheet">
				<div
					ref={host}
					class="solid-host"
					role="application"
					aria-label={solid.picture}
					// biome-ignore lint/a11y/noNoninteractiveTabindex: the arrow keys turn it
					tabIndex={0}
					data-test="solid"
					data-is={is}
					onKeyDown={press}
				/>
				{is === "drawn" && shot && (
					<Overlay
						plan={plan}
						shot={shot}
						marked={marked}
						units={units.value}
						withTubes={!hidden.has("planned")}
						withGaps={!hidden.has("gaps")}
						withAround={!hidden.has("around")}
						numberOf={numberOf}
						nameOf={nameOf}
						tags={hidden.has("fixture") ? [] : tags}
					/>
				)}
				{is === "lost" && (
					<div class="solid-lost card stack" role="alert" data-test="solid-lost">
						<p>{solid.lost}</p>
						<button type="button" class="primary" data-test="solid-anew" onClick={() => setAnew(anew + 1)}>
							{solid.anew}
						</button>
					</div>
				)}
			</div>
			<div class="solid-keys">
				{(["front", "above", "below", "side"] as const).map((v) => (
					<button key={v} type="button" data-test={`solid-${v}`} onClick={() => fit(VIEWS[v])}>
						{solid.views[v]}
					</button>
				))}
				<button
					type="button"
					data-test="solid-whole"
					onClick={() => fit(stage.current?.sight ?? VIEWS.corner)}
				>
					{solid.views.whole}
				</button>
				<Zoom
					sign="M5 12h14"
					name={solid.smaller}
					test="smaller"
					onTap={() => change((s) => zoomed(s, 1 / ZOOM, place ?? s.at))}
				/>
				<Zoom
					sign="M5 12h14M12 5v14"
					name={solid.larger}
					test="larger"
					onTap={() => change((s) => zoomed(s, ZOOM, place ?? s.at))}
				/>
				<button
					type="button"
					class={slides ? "picked" : ""}
					aria-pressed={slides}
					aria-label={solid.slideWhy}
					data-test="solid-slide"
					onClick={() => setSlides(!slides)}
				>
					{solid.slide}
				</button>
			</div>
		</div>
	);
}

const layersIn = (hidden: ReadonlySet<Shown>) => [...hidden].filter((l) => l !== "gaps");

interface ZoomProps {
	sign: string;
	name: string;
	test: string;
	onTap: () => void;
}

function Zoom({ sign, name, test, onTap }: ZoomProps) {
	return (
		<button type="button" class="solid-zoom" aria-label={name} data-test={`solid-${test}`} onClick={onTap}>
			<svg viewBox="0 0 24 24" width="24" height="24" aria-hidden="true" focusable="false">
				<path d={sign} fill="none" stroke="currentColor" stroke-width="3" />
			</svg>
		</button>
	);
}

// What a finger does on the drawing. One finger turns or slides, a touch that stays
// where it is marks; two fingers and the wheel zoom, but nothing needs them.

export interface Fingers {
	move(dx: number, dy: number): void; // one finger, in pixels
	pinch(by: number, x: number, y: number, dx: number, dy: number): void; // two fingers, about a place
	tap(x: number, y: number): void;
}

const STILL_PX = 10; // a glove is not steadier than that

/** listen watches a surface until what it returns is called. Places are from its upper left. */
export function listen(on: HTMLElement, f: Fingers): () => void {
	const down = new Map<number, { x: number; y: number }>();
	let isTap = false;
	let began = { x: 0, y: 0 };
	const place = (e: MouseEvent) => {
		const r = on.getBoundingClientRect();
		return { x: e.clientX - r.left, y: e.clientY - r.top };
	};
	const press = (e: PointerEvent) => {
		if (e.button > 0) return;
		on.setPointerCapture?.(e.pointerId);
		isTap = down.size === 0;
		began = place(e);
		down.set(e.pointerId, began);
	};
	const move = (e: PointerEvent) => {
		const was = down.get(e.pointerId);
		if (!was) return;
		const is = place(e);
		if (isTap && Math.hypot(is.x - began.x, is.y - began.y) < STILL_PX) return;
		isTap = false;
		const other = [...down].find(([id]) => id !== e.pointerId)?.[1];
		down.set(e.pointerId, is);
		const [dx, dy] = [is.x - was.x, is.y - was.y];
		if (!other) return f.move(dx, dy);
		const apart = (p: typeof is) => Math.max(1, Math.hypot(p.x - other.x, p.y - other.y));
		f.pinch(apart(is) / apart(was), (is.x + other.x) / 2, (is.y + other.y) / 2, dx / 2, dy / 2);
	};
	const lift = (e: PointerEvent) => {
		if (!down.delete(e.pointerId)) return;
		if (isTap && e.type === "pointerup") f.tap(began.x, began.y);
		isTap = false;
	};
	const wheel = (e: WheelEvent) => {
		e.preventDefault();
		const { x, y } = place(e);
		f.pinch(Math.exp(-e.deltaY * 0.0015), x, y, 0, 0);
	};
	// Without this a browser takes a quick turn for the start of a scroll, and swallows the next tap.
	const own = (e: Event) => e.cancelable && e.preventDefault();
	const heard = [
		["touchstart", own],
		["pointerdown", press],
		["pointermove", move],
		["pointerup", lift],
		["pointercancel", lift],
		["wheel", wheel],
	] as [string, EventListener][];
	for (const [type, act] of heard) on.addEventListener(type, act, { passive: false });
	return () => {
		for (const [type, act] of heard) on.removeEventListener(type, act);
	};
}

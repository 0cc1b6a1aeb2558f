/** focus puts the cursor into a field when it appears; as a ref it runs once, not at every redraw. */
export function focus(el: HTMLElement | null): void {
	el?.focus();
}

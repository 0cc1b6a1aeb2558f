// <Camera> is our drawing of a camera: body, lens and the dot of its finder.
// Props: none.  Calls: nothing.
export function Camera() {
	return (
		<svg viewBox="0 0 28 24" width="28" height="24" aria-hidden="true" focusable="false">
			<path
				d="M2 7h6l2.5-4h7L20 7h6v14H2z"
				fill="none"
				stroke="currentColor"
				stroke-width="2.4"
				stroke-linejoin="round"
			/>
			<circle cx="14" cy="13.5" r="4.6" fill="none" stroke="currentColor" stroke-width="2.4" />
			<circle cx="22.4" cy="10.4" r="1.3" fill="currentColor" />
		</svg>
	);
}

// What the browser tells of the room and the safety of the tablet's storage.

/** estimate returns what is used and what may be used, in bytes; null where the browser does not say. */
export async function estimate(): Promise<{ usage: number; quota: number } | null> {
	const storage = navigator.storage as StorageManager | undefined; // missing in some browsers
	if (!storage?.estimate) return null;
	try {
		const { usage, quota } = await storage.estimate();
		return usage === undefined || quota === undefined ? null : { usage, quota };
	} catch {
		return null;
	}
}

/** persist asks the browser to keep the storage. Some answer only after a question to the person, or never: nothing waits for it. */
export function persist(answered: (isKept: boolean) => void): void {
	const storage = navigator.storage as StorageManager | undefined;
	storage?.persist?.().then(answered, () => {});
}

/**
 * isPlainTab tells whether a tablet shows the app in a tab of its browser. There
 * the storage is cleared after seven days without a visit. On desktops, where the
 * bench and the demo are used, it is false.
 */
export function isPlainTab(): boolean {
	const isInstalled =
		["standalone", "fullscreen", "minimal-ui"].some(
			(mode) => matchMedia(`(display-mode: ${mode})`).matches,
		) || (navigator as { standalone?: boolean }).standalone === true;
	if (isInstalled || navigator.maxTouchPoints === 0) return false;
	// A tablet of one maker calls itself a desktop; no desktop of that maker has several touch points.
	const says = navigator.userAgent;
	return /Android|iPad|iPhone/.test(says) || (/Macintosh/.test(says) && navigator.maxTouchPoints > 1);
}

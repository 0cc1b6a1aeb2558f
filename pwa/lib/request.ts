// Requests that end by themselves: after sleep or a lost network a browser can
// leave one hanging for ever, without an error.

/**
 * within gives act a signal that fires after ms, or when ended does, and rejects
 * then even where act does not listen to it. act includes reading the answer.
 */
export async function within<T>(
	ms: number,
	ended: AbortSignal | null,
	act: (signal: AbortSignal) => Promise<T>,
): Promise<T> {
	const controller = new AbortController();
	const stop = () => controller.abort();
	const limit = setTimeout(stop, ms);
	ended?.addEventListener("abort", stop);
	if (ended?.aborted) stop();
	const late = new Promise<never>((_, reject) => {
		const fail = () => reject(new DOMException(`no answer within ${ms} ms`, "AbortError"));
		if (controller.signal.aborted) fail();
		controller.signal.addEventListener("abort", fail);
	});
	try {
		return await Promise.race([act(controller.signal), late]);
	} finally {
		clearTimeout(limit);
		ended?.removeEventListener("abort", stop);
	}
}

/** inTime resolves with what was asked, or with otherwise when that fails or takes longer than ms. */
export function inTime<T>(ms: number, asked: Promise<T>, otherwise: T): Promise<T> {
	return new Promise((resolve) => {
		const limit = setTimeout(() => resolve(otherwise), ms);
		asked
			.catch(() => otherwise)
			.then((said) => {
				clearTimeout(limit);
				resolve(said);
			});
	});
}

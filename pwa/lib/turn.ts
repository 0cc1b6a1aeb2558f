// Of several windows of the app one sends: the one that was shown last. Two that
// send do no harm, since ids make a record one record; this only saves work.
// A frozen window cannot hold the turn: the one that is shown takes it.

const NAME = "tubewright link";

export interface TurnEvents {
	/** This window sends from now on. */
	mine(): void;
	/** Another window sends; this one waits until it is shown, or the other is gone. */
	theirs(): void;
}

export class Turn {
	private has = false;
	private isTaking = false; // asked for and not heard of yet
	private waiting: AbortController | null = null;

	/** locks is undefined where the browser has none: then each window sends. */
	constructor(
		private locks: LockManager | undefined,
		private events: TurnEvents,
	) {}

	/** take makes it this window's turn, whoever has it. A second call before the first is answered must not take it from this window itself. */
	take(): void {
		if (this.has || this.isTaking) return;
		this.waiting?.abort();
		this.waiting = null;
		this.isTaking = this.locks !== undefined;
		if (this.locks) this.ask(this.locks, { steal: true });
		else this.begin();
	}

	/** wait takes the turn once no other window has it. */
	wait(): void {
		if (this.has || this.isTaking || this.waiting) return;
		if (!this.locks) {
			this.begin();
			return;
		}
		this.events.theirs();
		this.waiting = new AbortController();
		this.ask(this.locks, { signal: this.waiting.signal });
	}

	private ask(locks: LockManager, options: LockOptions): void {
		let mine = false;
		const held = locks.request(NAME, options, () => {
			mine = true;
			this.waiting = null;
			this.isTaking = false;
			this.begin();
			return new Promise<never>(() => {}); // until the window ends or another takes it
		});
		held.catch(() => {
			if (options.signal?.aborted) return; // it takes the turn now instead of waiting
			this.isTaking = false;
			if (!mine) {
				this.begin(); // locks do not work here
				return;
			}
			this.has = false;
			this.wait();
		});
	}

	private begin(): void {
		if (this.has) return;
		this.has = true;
		this.events.mine();
	}
}

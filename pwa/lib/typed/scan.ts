// The twin of calc/units/scan.go.

/** Scan walks over what was typed, from left to right. */
export class Scan {
	private at = 0;
	constructor(private readonly text: string) {}

	/** peek returns the next character, "" at the end. */
	peek(): string {
		const code = this.text.codePointAt(this.at);
		return code === undefined ? "" : String.fromCodePoint(code);
	}
	take(set: string): boolean {
		const c = this.peek();
		if (c === "" || !set.includes(c)) return false;
		this.at += c.length;
		return true;
	}
	spaces(): boolean {
		let any = false;
		while (this.take(" \u00a0\u2007\u2009\u202f")) any = true;
		return any;
	}
	digits = (): string => this.run(isDigit);
	letters = (): string => this.run(isLetter);

	private run(belongs: (c: string) => boolean): string {
		const from = this.at;
		while (this.at < this.text.length && belongs(this.text.charAt(this.at))) this.at++;
		return this.text.slice(from, this.at);
	}
}

export const isDigit = (c: string) => c >= "0" && c <= "9";
export const isLetter = (c: string) => (c >= "a" && c <= "z") || (c >= "A" && c <= "Z");

/** show prints a character for a sentence; what may have no shape on a screen, by its number. */
export function show(c: string): string {
	const code = c.codePointAt(0) ?? 0;
	if ((code > 0x20 && code < 0x7f) || (code > 0xa0 && code < 0x250 && code !== 0xad)) return c;
	return `U+${code.toString(16).toUpperCase().padStart(4, "0")}`;
}

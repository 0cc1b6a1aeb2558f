// What the plan becomes with one reading, in lines for a person.

import { figure, length, plain, type Units } from "./say";
import { choose } from "./textchoose";
import { result } from "./texttube";
import { inches, mm } from "./typed";
import type { Head } from "./types";
import type { HeadPlan, HeadPort, HeadTube } from "./withheads";

/** A line with the mark that stands before it. */
export interface Line {
	mark: "agreed" | "warn" | "stop" | "note" | "missing";
	words: string;
}

// What a line about a tube's length says already.
const SAID = "length-tolerance";

/** lines says what differs with this reading; title names a tube or a port as people do. */
export function lines(p: HeadPlan, units: Units, title: (kind: string, id: string) => string): Line[] {
	const say = choose;
	const all: Line[] = [
		...p.tubes.flatMap((t) => tubeLines(t, units, title("tube", t.id))),
		...p.ports.map((o): Line => portLine(o, units, title("port", o.id))),
		...p.todo.map((t): Line => ({ mark: "missing", words: say.asks(t.label, t.where) })),
		...p.findings.filter(isNews).map((f): Line => ({ mark: f.severity, words: f.text })),
		...p.gone.filter(isNews).map((f): Line => ({ mark: "agreed", words: say.gone(f.text) })),
	];
	if (p.swept_cc !== null) all.push({ mark: "note", words: say.swept(plain(p.swept_cc)) });
	if (p.spread !== null) all.push({ mark: "note", words: say.spread(length(p.spread, units)) });
	if (all.length === 0) all.push({ mark: "note", words: p.rests ? say.alike : say.nothing });
	return all;
}

const isNews = (f: { rule: string }) => f.rule !== SAID;

function tubeLines(t: HeadTube, u: Units, name: string): Line[] {
	const say = choose;
	const out: Line[] = [];
	const differs = (what: HeadTube["differs"][number]) => t.differs.includes(what);
	if (differs("length") || differs("deviation")) {
		const is = t.length === null ? say.noLength(name) : say.isLong(name, length(t.length, u));
		const off = t.deviation === null ? "" : `, ${offTarget(t.deviation, u)}`;
		const held = t.within === null ? "" : `, ${t.within ? result.within : result.outside}`;
		const mark = t.length === null ? "missing" : t.within === null ? "note" : t.within ? "agreed" : "warn";
		out.push({ mark, words: is + off + held });
	}
	if (differs("end")) {
		const at = t.end?.map((v) => figure(v, u)).join(", ");
		out.push(
			at === undefined
				? { mark: "missing", words: say.noEnd(name) }
				: { mark: "note", words: say.endsAt(name, `${at} ${u}`) },
		);
	}
	if (differs("bore"))
		out.push(
			t.bore === null
				? { mark: "missing", words: say.noBore(name) }
				: { mark: "note", words: say.bore(name, length(t.bore, u)) },
		);
	if (differs("pieces") && !differs("length")) out.push({ mark: "note", words: say.pieces(name) });
	return out;
}

function offTarget(deviation: number, u: Units): string {
	const off = length(Math.abs(deviation), u);
	if (Math.round(deviation * 1e6) === 0) return choose.onTarget;
	return deviation < 0 ? choose.short(off) : choose.long(off);
}

function portLine(o: HeadPort, u: Units, name: string): Line {
	if (o.area === null || o.perimeter === null) return { mark: "missing", words: choose.noOutline(name) };
	const area = u === "mm" ? `${o.area.toFixed(1)} mm²` : `${(o.area / 25.4 ** 2).toFixed(3)} in²`;
	return { mark: "note", words: choose.port(name, area, length(o.equal_area, u)) };
}

/** apart says how far readings lie apart, lengths in both units; "" for words and for one reading. */
export function apart(heads: Head[]): string {
	const far = (of: (h: Head) => number | undefined): number | null => {
		const values = heads.map(of).filter((v) => v !== undefined);
		return values.length === heads.length && values.length > 1
			? Math.max(...values) - Math.min(...values)
			: null;
	};
	const nm = far((h) => h.nm);
	if (nm !== null) return choose.apart(`${mm(nm, 3)} mm = ${inches(nm)} in`, heads.length);
	const udeg = far((h) => h.udeg);
	if (udeg !== null) return choose.apart(`${plain(udeg / 1e6)}°`, heads.length);
	const micro = far((h) => h.micro);
	return micro === null ? "" : choose.apart(plain(micro / 1e6), heads.length);
}

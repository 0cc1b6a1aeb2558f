// The records that every system carries: readings as a tablet writes them, made
// from a seed so that each process makes the same ones. All invented.

const BASE32 = "abcdefghijklmnopqrstuvwxyz234567";
const FIELDS = ["width", "height", "corner", "depth", "pitch", "radius"];
const TOOLS = ["caliper", "depth gauge", "steel rule"];
const PEOPLE = ["Rowan", "Sam", "Kim"];
const START_MS = Date.UTC(2026, 2, 2, 7, 0, 0);

/** readings returns n records as objects; JSON.stringify of one is the text that a tablet would keep. */
export function readings(n, seed) {
	const random = randomFrom(seed);
	const pick = (list) => list[random() % list.length];
	const name = (length) => Array.from({ length }, () => BASE32[random() & 31]).join("");
	const dev = name(16);
	const jobs = Array.from({ length: 5 }, () => ({
		id: `j-${name(6)}`,
		ports: Array.from({ length: 8 }, () => `p-${name(6)}`),
	}));
	let ms = START_MS;
	let last = "";
	return Array.from({ length: n }, (_, i) => {
		ms += 1_000 + (random() % 20_000);
		const job = pick(jobs);
		const id = name(26);
		const over = i % 3 === 2 ? { over: [last] } : {}; // every third puts right the one before
		last = id;
		return {
			id,
			dev,
			n: i + 1,
			hlc: `${ms}-0000-${dev}`,
			kind: "reading",
			job: job.id,
			slot: `port/${pick(job.ports)}/${pick(FIELDS)}`,
			...over,
			sv: 1,
			body: { ...length(random), tool: pick(TOOLS), person: pick(PEOPLE), at: localTime(ms) },
		};
	});
}

// length is what was typed: hundredths of a millimetre, or every fourth time sixteenths of an inch.
function length(random) {
	if (random() % 4 === 0) {
		const sixteenths = 2 * (random() % 30) + 17; // odd, so the fraction stays as it is
		const text = `${sixteenths >> 4} ${sixteenths & 15}/16`;
		return { text, unit: "in", nm: (sixteenths * 25_400_000) / 16, res: 396_875 };
	}
	const hundredths = 2_000 + (random() % 9_000);
	return { text: (hundredths / 100).toFixed(2), unit: "mm", nm: hundredths * 10_000, res: 10_000 };
}

const localTime = (ms) => new Date(ms + 3_600_000).toISOString().replace("Z", "+01:00");

// randomFrom is a 32 bit mixer over a counter: chance that is the same everywhere.
function randomFrom(seed) {
	let state = seed >>> 0;
	return () => {
		state = (state + 0x9e3779b9) >>> 0;
		let z = state;
		z = Math.imul(z ^ (z >>> 16), 0x85ebca6b);
		z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35);
		return (z ^ (z >>> 16)) >>> 0;
	};
}

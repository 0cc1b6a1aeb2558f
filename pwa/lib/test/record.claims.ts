import { between } from "../order";
import { Clock, chain, decode, isID, localTime, newID, sha256 } from "../record";
import { hashOf, routeOf } from "../route";
import { claim, holds, random, same } from "./claim";

claim("an id is 26 characters of 128 random bits", () => {
	const ids = new Set(Array.from({ length: 1000 }, newID));
	same(ids.size, 1000);
	for (const id of ids) holds(isID(id) && /[aeimquy4]$/.test(id), id); // the last character carries 3 bits
});

claim("sha256 gives the published hashes", async () => {
	// FIPS 180-2, appendix B.1, and the hash of no bytes.
	same(await sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
	same(await sha256(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
});

claim("the chain is the hash over previous, id and hash", async () => {
	// 32 zero bytes, 26 letters "a" and 32 bytes ab, hashed by Python's hashlib
	const got = await chain("00".repeat(32), "a".repeat(26), "ab".repeat(32));
	same(got, CHAIN);
});

const CHAIN = "8a49f03d4c5a1020a90b8ba46e577bd4da9484a3a4e614fa133dd75bf780e2f5";

claim("the clock never goes back and never stamps twice", () => {
	let now = 1_764_025_441_123;
	const rnd = random(1);
	const clock = new Clock("dev", () => now);
	let last = clock.tick();
	same(last, "1764025441123-0000-dev");
	for (let i = 0; i < 5000; i++) {
		now += Math.floor((rnd() - 0.5) * 10_000);
		const next = clock.tick();
		holds(next > last, `${next} after ${last}`);
		last = next;
	}
});

claim("65,536 stamps in one millisecond run over into the next", () => {
	const clock = new Clock("d", () => 1_764_025_441_123);
	for (let i = 0; i < 65_536; i++) clock.tick();
	same(clock.tick(), "1764025441124-0000-d");
});

claim("a stamp more than a minute ahead of the shop does not move the clock", () => {
	const shop = 1_764_025_441_123;
	const clock = new Clock("d", () => shop);
	clock.meet(`${shop + 60_001}-0000-x`, shop);
	same(clock.tick(), "1764025441123-0000-d");
	clock.meet(`${shop + 60_000}-0007-x`, shop);
	same(clock.tick(), `${shop + 60_000}-0008-d`);
	clock.meet("nonsense", shop);
	same(clock.tick(), `${shop + 60_000}-0009-d`);
});

claim("a key fits between any two neighbours and stays short", () => {
	const rnd = random(2);
	const keys: string[] = [];
	for (let i = 0; i < 1000; i++) {
		const at = Math.floor(rnd() * (keys.length + 1));
		const [low, high] = [keys[at - 1] ?? "", keys[at] ?? ""];
		const key = between(low, high);
		holds(low < key && (high === "" || key < high), `case ${i}: ${key} between ${low} and ${high}`);
		keys.splice(at, 0, key);
	}
	holds(Math.max(...keys.map((k) => k.length)) <= 12, "a key of more than 12 characters");
});

claim("100 entries added at the end have keys of at most 4 characters", () => {
	let key = "";
	for (let i = 0; i < 100; i++) key = between(key, "");
	holds(key.length <= 4, key);
});

claim("twice the same place in front and behind still leaves room", () => {
	let [low, high] = [between("", ""), ""];
	for (let i = 0; i < 200; i++) {
		high = between(low, high);
		holds(high > low, `${high} not above ${low}`);
	}
	let first = low;
	for (let i = 0; i < 200; i++) {
		const next = between("", first);
		holds(next < first && next !== "", `${next} not below ${first}`);
		first = next;
	}
	low = between("a", "a"); // two tablets made the same key
	holds(low > "a", low);
});

claim("a route survives the address", () => {
	const route = { screen: "measure", job: "j-abc", slot: "port/p1/width", id: "ä&=#" };
	same(routeOf(hashOf(route)), route);
	same(routeOf(""), null);
	same(routeOf("#elsewhere"), null);
});

claim("a record without id, kind or job is refused", () => {
	for (const raw of [
		"null",
		"3",
		"{}",
		`{"id":"${newID()}"}`,
		`{"id":"${newID()}","kind":"note","job":""}`,
	]) {
		let error = "";
		try {
			decode(raw);
		} catch (err) {
			error = String(err);
		}
		holds(error !== "", `${raw} was read`);
	}
});

claim("a local time carries its offset", () => {
	const at = localTime(1_764_025_441_123);
	holds(/^2025-11-2[45]T\d\d:\d\d:01\.123[+-]\d\d:\d\d$/.test(at), at);
	same(Date.parse(at), 1_764_025_441_123);
});

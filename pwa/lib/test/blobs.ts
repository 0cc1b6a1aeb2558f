// A model of the shop's end of the photos: manifests, chunks, whole pictures. It
// can fail a request before or after it has done its work.

import { sha256 } from "../record";
import type { PhotoRow } from "../store";
import { CHUNK_BYTES } from "../uploads";

interface Part {
	chunks: string[];
	got: (ArrayBuffer | null)[];
}

export class Blobs {
	parts = new Map<string, Part>();
	done = new Map<string, ArrayBuffer>();
	denied = new Set<string>();
	backed = new Set<string>();
	isFull = false;
	isLying = false; // chunks are read back with other bytes
	asked: string[] = []; // "PUT sha/3"
	twice = 0; // chunks that came although they were there
	inFlight = 0;
	most = 0; // requests at once
	/** Called before and after the work of each request; what it throws is what the tablet sees of the network. */
	fault: (when: "before" | "after") => void = () => {};

	fetch = async (path: string, init: RequestInit): Promise<Response> => {
		const [, , sha = "", what = ""] = path.split("/");
		const method = init.method ?? "GET";
		this.asked.push(`${method} ${sha.slice(0, 6)}/${what}`);
		this.most = Math.max(this.most, ++this.inFlight);
		try {
			await null;
			this.fault("before");
			const res = await this.take(method, sha, what, init.body);
			this.fault("after");
			return res;
		} finally {
			this.inFlight--;
		}
	};

	private async take(method: string, sha: string, what: string, body: unknown): Promise<Response> {
		if (this.denied.has(sha)) return no(410, "denied", "taken out for good");
		if (method === "PUT" && this.isFull) return no(507, "full", "the shop machine has no room for photos");
		if (method === "PUT" && what === "manifest") {
			const { chunks } = JSON.parse(String(body)) as { chunks: string[] };
			if (!this.parts.has(sha)) this.parts.set(sha, { chunks, got: chunks.map(() => null) });
			return this.state(sha);
		}
		if (what === "have") return this.state(sha);
		if (method === "PUT") return this.chunk(sha, Number(what), body as ArrayBuffer);
		const whole = this.done.get(sha);
		if (!whole) return no(404, "unknown", "not known");
		if (what === "") return new Response(whole);
		const from = Number(what) * CHUNK_BYTES;
		const bytes = new Uint8Array(whole.slice(from, from + CHUNK_BYTES));
		if (this.isLying) bytes[0] = (bytes[0] ?? 0) ^ 1;
		return new Response(bytes);
	}

	private async chunk(sha: string, i: number, bytes: ArrayBuffer): Promise<Response> {
		const part = this.parts.get(sha);
		if (!part) return no(404, "unknown", "no manifest");
		if ((await sha256(bytes)) !== part.chunks[i]) return no(422, "hash", "other bytes");
		if (part.got[i]) this.twice++;
		part.got[i] = bytes;
		if (part.got.every((b) => b !== null)) {
			const whole = await new Blob(part.got as ArrayBuffer[]).arrayBuffer();
			if ((await sha256(whole)) !== sha) return no(422, "hash", "another picture");
			this.done.set(sha, whole);
		}
		return this.state(sha);
	}

	private state(sha: string): Response {
		const part = this.parts.get(sha);
		const isDone = this.done.has(sha);
		const have = isDone ? "" : (part?.got ?? []).map((b) => (b ? "1" : "0")).join("");
		return Response.json({
			...{ known: part !== undefined, done: isDone, denied: false, have },
			backed: this.backed.has(sha),
		});
	}
}

const no = (status: number, why: string, text: string) => Response.json({ why, text }, { status });

/** picture makes the row and the chunks of a picture of so many bytes. */
export async function picture(
	size: number,
	of = "",
	at = 1,
): Promise<{ row: PhotoRow; chunks: ArrayBuffer[] }> {
	const bytes = new Uint8Array(size);
	for (let i = 0; i < size; i += 65_536) crypto.getRandomValues(bytes.subarray(i, i + 65_536));
	const chunks: ArrayBuffer[] = [];
	for (let i = 0; i < size; i += CHUNK_BYTES) chunks.push(bytes.slice(i, i + CHUNK_BYTES).buffer);
	const row: PhotoRow = {
		...{ sha: await sha256(bytes), of, job: "j", type: "image/jpeg", size, w: 8, h: 6 },
		...{ chunks: await Promise.all(chunks.map((c) => sha256(c))), state: "held", at },
	};
	return { row, chunks };
}

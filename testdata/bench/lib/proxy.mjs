// A TCP proxy that counts what passes: payload bytes of the connection, HTTP and
// websocket heads included, TCP and IP heads not.

import net from "node:net";

/** proxy listens on a free port and passes every connection on to port. */
export async function proxy(port) {
	const bytes = { up: 0, down: 0 };
	const open = new Set();
	const server = net.createServer({ noDelay: true }, (near) => {
		const far = net.connect({ port, host: "127.0.0.1", noDelay: true });
		near.on("data", (b) => {
			bytes.up += b.length;
		});
		far.on("data", (b) => {
			bytes.down += b.length;
		});
		near.pipe(far);
		far.pipe(near);
		for (const [one, other] of [
			[near, far],
			[far, near],
		]) {
			open.add(one);
			one.on("error", () => {}); // the close that follows ends the other side
			one.on("close", () => {
				open.delete(one);
				other.destroy();
			});
		}
	});
	await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
	return {
		port: server.address().port,
		bytes,
		reset() {
			bytes.up = bytes.down = 0;
		},
		close() {
			server.close();
			for (const one of open) one.destroy();
		},
	};
}

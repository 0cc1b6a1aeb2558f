// The binary peer with the leveldb persistence of its server.

import { LeveldbPersistence } from "y-leveldb";
import * as binary from "./binary.mjs";

export const { connect } = binary;

export function server({ port, dir }) {
	const { command, args, env } = binary.server({ port });
	return { command, args, env: { ...env, YPERSISTENCE: dir } };
}

export async function kept(dir) {
	const doc = await new LeveldbPersistence(dir).getYDoc(binary.ROOM);
	return doc.getArray("records").length;
}

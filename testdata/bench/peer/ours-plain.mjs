// Ours with a client that cannot unpack: every frame is text.

import { connectWith } from "./ours.mjs";

export { kept, server } from "./ours.mjs";

export const connect = connectWith({});

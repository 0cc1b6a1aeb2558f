// The document peer told to send 1,000 documents at a time instead of 100.

import { connectWith } from "./document.mjs";

export { kept, server } from "./document.mjs";

export const connect = connectWith({ batch: 1_000, isPacked: true });

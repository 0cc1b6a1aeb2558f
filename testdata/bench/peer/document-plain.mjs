// The document peer with a server that does not compress its answers, as ours does not.

import { connectWith } from "./document.mjs";

export { kept, server } from "./document.mjs";

export const connect = connectWith({ batch: 100, isPacked: false });

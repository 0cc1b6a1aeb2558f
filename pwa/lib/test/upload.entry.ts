// Checks the claims about photos that need no engine that draws.

import "./photo.claims";
import { report } from "./claim";

await report();

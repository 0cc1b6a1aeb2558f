// Checks the claims about the modules of lib that need no page.

import "./record.claims";
import "./around.claims";
import "./calc.claims";
import "./entry.claims";
import "./exact.claims";
import "./fixture.claims";
import "./flange.claims";
import "./link.claims";
import "./long.claims";
import "./loss.claims";
import "./pack.claims";
import "./pair.claims";
import "./selftest.claims";
import "./sheets.claims";
import "./sizing.claims";
import "./solid.claims";
import "./state.claims";
import "./sync.claims";
import "./with.claims";
import { report } from "./claim";

await report();

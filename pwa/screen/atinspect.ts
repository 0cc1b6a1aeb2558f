// What the inspection needs, fetched when it is first wanted: one chunk of the app.

export { Inspect } from "./inspect";
export { InspectGap } from "./inspectgap";

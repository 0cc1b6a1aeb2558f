// What is fetched when it is first wanted: one chunk of the app, beside the one
// that every start needs.

export { Fit } from "../part/gaps";
export { TubeFit } from "../part/tubefit";
export { Around } from "./around";
export { Bender } from "./bender";
export { Item } from "./item";
export { Mockup } from "./mockup";

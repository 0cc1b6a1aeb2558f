// What is fetched when it is first wanted: one chunk of the app, beside the one
// that every start needs.

export { TubeFit } from "../part/tubefit";
export { Around } from "./around";
export { Bender } from "./bender";
export { Choose } from "./choose";
export { Flange } from "./flange";
export { Item } from "./item";
export { Mockup } from "./mockup";
export { Result } from "./result";
export { Rim } from "./rim";

// What the bench needs, fetched when it is first wanted: one chunk of the app.

export { Bench } from "./bench";
export { Correction } from "./correction";
export { Cuts } from "./cuts";
export { Filling } from "./filling";
export { Piece } from "./piece";
export { Stock } from "./stock";

// What the fixture needs, fetched when it is first wanted: one chunk of the app.

export { Fixture } from "./fixture";
export { FixtureStationPage } from "./fixturestation";

// place: put the stations that show the whole home.

import { counted, runAttempt } from "../sheet/attempt.js";

runAttempt(({ sheet }) => ({
  collect: () => ({ stations: sheet.stations.list }),
  missing: () => (sheet.stations.list.length ? "" : "Put down at least one station first."),
  review: () => `You are about to send ${counted(sheet.stations.list.length, "station")}. An answer is sent once.`,
}));

// threshold: a tiny room, shot from inside or from its door line, and where.

import { runAttempt } from "../sheet/attempt.js";

runAttempt(({ form, sheet }) => {
  const from = () => form.querySelector("input[name='from']:checked")?.value ?? "";
  return {
    collect: () => ({ from: from(), stations: sheet.stations.list }),
    missing: () => {
      if (!from()) return "Say whether you shoot from inside or from the door line.";
      return sheet.stations.list.length ? "" : "Put the station where you would stand.";
    },
    review: () => `You shoot from ${from() === "door" ? "the door line" : "inside"}, at ${sheet.describe(0)}. An answer is sent once.`,
  };
});

// join: say which given stations form islands, then add the fewest that join them.

import { counted, runAttempt } from "../sheet/attempt.js";
import { draw } from "../sheet/paper.js";

runAttempt(({ form, sheet }) => {
  const choices = [...form.querySelectorAll("select[data-island]")];
  const letters = ["", ...new Set(choices.flatMap((c) => [...c.options].map((o) => o.value)).filter(Boolean))];

  const islands = () => {
    const groups = new Map();
    for (const choice of choices) {
      if (!choice.value) continue;
      groups.set(choice.value, [...(groups.get(choice.value) ?? []), Number(choice.dataset.island)]);
    }
    return [...groups.values()];
  };

  function refresh() {
    for (const choice of choices) {
      for (const group of sheet.querySelectorAll(`.station[data-station="${choice.dataset.island}"] .fixed`)) {
        let letter = group.querySelector(".island-letter");
        if (!letter) {
          letter = draw("text", { class: "island-letter halo", x: 16, y: -8 });
          group.append(letter);
        }
        letter.textContent = choice.value;
      }
    }
  }

  // A tap on a given station gives it the next letter; the lists below say the same.
  sheet.addEventListener("pick", (event) => {
    const choice = choices.find((c) => Number(c.dataset.island) === event.detail.number);
    if (!choice || sheet.stations.selected >= 0) return;
    event.preventDefault();
    choice.value = letters[(letters.indexOf(choice.value) + 1) % letters.length];
    choice.dispatchEvent(new Event("change", { bubbles: true }));
    sheet.say(`Station ${event.detail.number} is on island ${choice.value || "none"}`);
  });

  return {
    refresh,
    collect: () => ({ islands: islands(), stations: sheet.stations.list }),
    missing: () => (choices.every((c) => c.value) ? "" : "Say for every given station which island it is on."),
    review: () =>
      `You name ${counted(islands().length, "island")} and add ${counted(sheet.stations.list.length, "station")}. An answer is sent once.`,
  };
});

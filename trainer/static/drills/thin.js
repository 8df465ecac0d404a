// thin: say which of the given stations can go without loss.

import { counted, runAttempt } from "../sheet/attempt.js";
import { draw } from "../sheet/paper.js";

runAttempt(({ form, sheet }) => {
  const boxes = [...form.querySelectorAll("input[name='remove']")];
  const chosen = () => boxes.filter((box) => box.checked).map((box) => Number(box.value));

  function refresh() {
    for (const box of boxes) {
      for (const group of sheet.querySelectorAll(`.station[data-station="${box.value}"]`)) {
        group.querySelector(".bar")?.remove();
        group.classList.toggle("spare", box.checked);
        if (box.checked) group.querySelector(".fixed").append(draw("path", { class: "bar", d: "M-17 9L17 -9" }));
      }
    }
  }

  sheet.addEventListener("pick", (event) => {
    const box = boxes.find((b) => Number(b.value) === event.detail.number);
    if (!box) return;
    event.preventDefault();
    box.checked = !box.checked;
    box.dispatchEvent(new Event("change", { bubbles: true }));
    sheet.say(`Station ${event.detail.number} ${box.checked ? "goes" : "stays"}`);
  });

  return {
    refresh,
    collect: () => ({ remove: chosen() }),
    missing: () => "",
    review: () => (chosen().length ? `You let ${counted(chosen().length, "station")} go: ${chosen().join(", ")}.` : "You let none go: all are needed."),
  };
});

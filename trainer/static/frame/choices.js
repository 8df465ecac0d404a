// The form of a case that is looked at: choices by radio buttons, spots marked in a frame, a clock for who wants one.

import { runAttempt } from "../sheet/attempt.js";
import { Spots } from "./marks.js";

const TICK_MS = 1000;

/** Run an attempt whose answer is made of choices and marked spots. */
export function runChoices() {
  runAttempt(({ form }) => {
    const choices = [...form.querySelectorAll("[data-choice]")];
    const picked = (choice) => choice.querySelector("input:checked");
    const words = (choice) => picked(choice)?.closest("label").textContent.trim() ?? "";
    for (const live of form.querySelectorAll("[data-live]")) live.hidden = false;
    startClock(form);
    return {
      collect: () => {
        const answer = Object.fromEntries(choices.map((choice) => [choice.dataset.choice, picked(choice)?.value ?? ""]));
        if (form.querySelector("[data-spots]")) answer.spots = spotsOf(form);
        return answer;
      },
      missing: () => {
        const open = choices.find((choice) => !picked(choice) && !choice.hidden);
        if (open) return `${open.querySelector("legend").textContent.trim()} Choose one.`;
        const unread = rowsOf(form).find(({ figures }) => !figures.every(Number.isFinite));
        return unread ? `Spot ${unread.number} needs two figures in degrees, or none.` : "";
      },
      review: () => {
        const said = choices.map((choice) => `“${words(choice)}”`);
        if (form.querySelector("[data-spots]")) {
          const count = spotsOf(form).length;
          said.push(count ? `${count} ${count === 1 ? "spot" : "spots"} marked` : "nothing marked");
        }
        return `You say ${said.join(", ")}. An answer is sent once.`;
      },
    };
  });
}

/** The rows of marked spots with anything in them: number and both figures, NaN for what is no figure. */
function rowsOf(form) {
  return [...form.querySelectorAll("[data-spot]")]
    .map((row) => ({ number: row.dataset.spot, fields: [...row.querySelectorAll("input")] }))
    .filter(({ fields }) => fields.some((field) => field.value.trim()))
    .map(({ number, fields }) => ({ number, figures: fields.map(Spots.read) }));
}

/** The marked spots. */
const spotsOf = (form) =>
  rowsOf(form).map(({ figures: [azimuth, elevation] }) => ({ azimuth_deg: azimuth, elevation_deg: elevation }));

/** A clock that runs only when it is asked to, says how long is left, and ends nothing. */
function startClock(form) {
  const clock = form.querySelector("[data-clock]");
  if (!clock) return;
  const seconds = Number(clock.dataset.clock);
  const button = clock.querySelector("button");
  const output = clock.querySelector("output");
  let until = 0;
  let timer = 0;
  const show = () => {
    const left = Math.ceil((until - performance.now()) / TICK_MS);
    output.textContent = left > 0 ? `${left} s left` : `${seconds} s are over. Take the time you need; it costs nothing.`;
    if (left <= 0) clearInterval(timer);
  };
  clock.hidden = false;
  button.addEventListener("click", () => {
    until = performance.now() + seconds * TICK_MS;
    clearInterval(timer);
    timer = setInterval(show, TICK_MS);
    show();
  });
}

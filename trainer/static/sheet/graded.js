// The graded page: show a mark's geometry, and ask what other stations would have been worth.

import "./plan.js";
import { bindTrial } from "./what-if.js";
import { carried, make } from "./paper.js";

const desk = document.querySelector("[data-graded]");
const sheet = desk.querySelector("plan-sheet");

/** Show the shapes of one mark, or none. */
function show(number, level) {
  for (const group of desk.querySelectorAll(".mark-shapes")) group.classList.toggle("shown", group.dataset.mark === number);
  for (const mark of desk.querySelectorAll(".mark")) mark.classList.toggle("shown", mark.dataset.mark === number);
  const words = desk.querySelector("[data-shown]");
  words.hidden = number === "";
  if (number === "") return;
  const mark = desk.querySelector(`.mark[data-mark="${number}"]`);
  const back = make("a", { href: "#main" }, "Back to the mark");
  back.addEventListener("click", (event) => {
    event.preventDefault();
    mark.querySelector("[data-show]").focus({ preventScroll: true });
    mark.scrollIntoView({ block: "center", behavior: "instant" });
  });
  words.replaceChildren(mark.querySelector(".said").textContent.trim(), " ", back);
  if (level !== undefined) sheet.showLevel(level);
  sheet.scrollIntoView({ block: "nearest", behavior: "instant" });
}

desk.addEventListener("click", (event) => {
  const link = event.target.closest("[data-show]");
  if (!link) return;
  event.preventDefault();
  const again = link.closest(".mark").classList.contains("shown");
  show(again ? "" : link.dataset.show, Number(link.dataset.level));
});

/** Put pieces of drawing from the server in the place of what a layer holds. */
export function fill(layer, markup) {
  const parsed = new DOMParser().parseFromString(`<svg xmlns="http://www.w3.org/2000/svg">${markup}</svg>`, "image/svg+xml");
  layer.replaceChildren(...[...parsed.documentElement.childNodes].map((node) => document.importNode(node, true)));
}

const button = desk.querySelector("[data-do='what-if']");
if (button) bindTrial({ desk, sheet, button, fill, own: carried("sheet-data").own, rest: carried("answer-rest") ?? {} });

document.documentElement.dataset.ready = "";

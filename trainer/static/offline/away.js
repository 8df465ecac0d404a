// No connection, and the page asked for is not kept: name those that are, and go on by itself when it is back.

import { keptPages } from "./pages.js";

const list = document.querySelector("[data-kept-pages]");
for (const { path, title } of await keptPages()) {
  const link = document.createElement("a");
  link.href = path;
  link.textContent = path === "/" ? "Today" : title;
  list.append(document.createElement("li"));
  list.lastChild.append(link);
}
document.querySelector("[data-some-kept]").hidden = !list.children.length;
document.querySelector("[data-none-kept]").hidden = Boolean(list.children.length);
document.querySelector("[data-try-again]").addEventListener("click", () => location.reload());
const again = () => location.reload();
addEventListener("online", again);
// Whoever is on the way to a kept page is not called back.
list.addEventListener("click", () => removeEventListener("online", again));
document.documentElement.dataset.ready = "";

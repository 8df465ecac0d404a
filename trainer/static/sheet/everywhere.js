// On every page: send what is still kept on this phone, and say so. Buttons that start something work once.

import { keepNothing, startKeeping } from "../offline/pages.js";
import { allWaiting, send, waiting } from "./outbox.js";

const notice = document.getElementById("kept");
const away = document.querySelector("[data-kept-pages]");
const here = document.querySelector("form[data-attempt]")?.dataset.attempt;

function show(words) {
  notice.textContent = words;
  notice.hidden = !words;
}

async function sendKept() {
  const others = allWaiting().filter((name) => name !== here && waiting(name)?.page !== location.pathname);
  if (!others.length) return;
  const kinds = new Set(others.map((name) => waiting(name)?.what ?? "An answer"));
  const many = kinds.size === 1 && kinds.has("An answer") ? "answers" : "entries";
  const what = others.length === 1 ? `${[...kinds][0]} is` : `${others.length} ${many} are`;
  if (away) {
    show(`${what} kept on this phone, will send.`);
    return;
  }
  if (!("signedIn" in document.body.dataset)) {
    show(`${what} kept on this phone. Sign in and it will be sent.`);
    return;
  }
  show(`${what} kept on this phone, will send.`);
  const replies = await Promise.all(others.map((attempt) => send(attempt)));
  const sent = replies.filter((reply) => reply.state === "sent").length;
  const refused = replies.find((reply) => reply.state === "refused");
  const late = replies.find((reply) => reply.state === "late");
  if (refused) show(`Not taken: ${refused.words} Open its page again.`);
  else if (late) show(`Not taken: ${late.words}`);
  else show(sent === others.length ? "What was kept on this phone has been sent." : "");
}

for (const form of document.querySelectorAll("form[data-once]")) {
  form.addEventListener("submit", (event) => {
    if (!navigator.onLine) {
      event.preventDefault();
      show("No connection. Press again when it is back.");
      return;
    }
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "1";
    for (const button of form.querySelectorAll("button")) button.setAttribute("aria-disabled", "true");
  });
}
// A page that comes back from the browser's memory may be used again.
addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-once]")) {
    delete form.dataset.sent;
    for (const button of form.querySelectorAll("button")) button.removeAttribute("aria-disabled");
  }
});

// A case that is being made: ask again in a while, as often as the page stays open.
const again = document.querySelector("form[data-again]");
if (again) {
  for (const one of document.querySelectorAll("[data-live]")) one.hidden = false;
  setTimeout(() => again.requestSubmit(), Number(again.dataset.again));
}

sendKept();
if ("signedIn" in document.body.dataset) startKeeping();
else if (!away) keepNothing();
document.documentElement.dataset.everywhere = "";

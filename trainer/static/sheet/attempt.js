// The page of an open attempt: a draft that survives reloads, three steps of sureness, one answer sent once.

import "./plan.js";
import { bindList, unreadIn } from "./list.js";
import { putIn, send, waiting } from "./outbox.js";
import { make } from "./paper.js";

/**
 * Run an attempt's form, with a plan sheet on it or not. A kind gives ``collect()``, the answer's JSON;
 * ``missing()``, what still has to be done, in words, or ""; ``review()``, what is about to be sent, in words; and
 * ``refresh()`` for its own fields.
 */
export function runAttempt(build) {
  const form = document.querySelector("form[data-attempt]");
  const sheet = form.querySelector("plan-sheet");
  const { attempt, answer: url, graded } = form.dataset;
  const status = form.querySelector("[data-status]");
  const rows = form.querySelector("ol.stations");
  const kind = build({ form, sheet });
  const draft = `levelhead:draft:${attempt}`;

  if (rows && sheet) bindList(rows, sheet);
  restore();
  kind.refresh?.();
  form.addEventListener("change", () => {
    kind.refresh?.();
    save();
  });
  sheet?.addEventListener("stationschange", () => {
    kind.refresh?.();
    save();
  });

  const steps = form.querySelector(".sureness");
  const dialog = make("dialog", { "aria-label": "How sure are you?" });
  const review = make("p", {});
  const close = make("button", { type: "button" }, "Back to the sheet");
  steps.replaceWith(dialog);
  dialog.append(review, steps, close);
  close.addEventListener("click", () => dialog.close());
  form.querySelector("[data-do='answer']").addEventListener("click", () => {
    const missing = (rows && unreadIn(rows)) || kind.missing();
    tell(missing, missing ? "problem" : "");
    if (missing) return;
    review.textContent = kind.review();
    dialog.showModal();
  });

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const sureness = Number(event.submitter?.value);
    if (!sureness) return;
    dialog.close();
    putIn(attempt, url, kind.collect(), sureness);
    deliver();
  });
  if (waiting(attempt)) deliver();

  async function deliver() {
    lock(true);
    const said = { sending: "Sending…", kept: "No connection. Kept on this phone, will send." };
    const reply = await send(attempt, ({ state }) => tell(said[state]));
    if (reply.state === "sent") {
      forgetDraft();
      location.assign(graded);
    } else if (reply.state === "late") {
      forgetDraft();
      tell(`${reply.words} `, "problem");
      status.append(make("a", { href: graded }, "Go on"));
    } else if (reply.state === "signed-out") {
      tell("You are signed out. Your answer is kept on this phone and will be sent after you sign in. ");
      status.append(make("a", { href: `${form.dataset.signIn}?next=${encodeURIComponent(location.pathname)}` }, "Sign in"));
    } else if (reply.state === "refused") {
      lock(false);
      tell(reply.words, "problem");
    } else tell("This attempt is not yours to answer, or is gone. Your answer is still kept on this phone.", "problem");
  }

  function lock(on) {
    if (sheet) sheet.editing = !on && "editable" in sheet.dataset;
    for (const field of form.querySelectorAll("button[data-do='answer'], .sureness button, fieldset")) field.disabled = on;
  }

  function tell(words, kindOf = "") {
    status.textContent = words;
    status.hidden = !words;
    status.classList.toggle("problem", kindOf === "problem");
    if (kindOf === "problem") status.focus();
  }

  function save() {
    const fields = [...new FormData(form)].filter(([name]) => !/^(x|y|level)-|csrf/.test(name));
    try {
      localStorage.setItem(draft, JSON.stringify({ stations: sheet?.stations.list ?? [], fields }));
    } catch {
      // No room or no leave to keep a draft; the page itself still holds it.
    }
  }

  function forgetDraft() {
    try {
      localStorage.removeItem(draft);
    } catch {
      // It was never kept.
    }
  }

  function restore() {
    let kept = null;
    try {
      kept = JSON.parse(localStorage.getItem(draft));
    } catch {
      kept = null;
    }
    if (!kept) return;
    for (const field of form.elements) {
      if (!field.name || /csrf/.test(field.name) || field.type === "hidden") continue;
      const values = kept.fields.filter(([name]) => name === field.name).map(([, value]) => value);
      if (field.type === "radio" || field.type === "checkbox") field.checked = values.includes(field.value);
      else if (values.length && !/^(x|y|level)-/.test(field.name)) [field.value] = values;
    }
    if (!sheet) return;
    if (kept.stations.length) sheet.stations.replace(kept.stations);
    sheet.stations.past = [];
    sheet.refresh();
  }

  document.documentElement.dataset.ready = "";
}

/** "3 stations", "1 station". */
export const counted = (count, one, many = `${one}s`) => `${count} ${count === 1 ? one : many}`;

// The form of a watched shoot: a draft that survives reloads, kept on this phone until the server has it.

import { keepEntry, newKey, send, waiting } from "../sheet/outbox.js";
import { make } from "../sheet/paper.js";

const form = document.querySelector("form[data-observe]");
const problem = form.querySelector("[data-problem]");
const line = document.querySelector("[data-said]");
const after = document.querySelector("[data-after]");
const place = `levelhead:draft:observe:${form.dataset.observe}:${form.dataset.by}`;
const day = form.elements.shot_on;

let draft = read() ?? { key: newKey(), handed: false, fields: [] };
if (!draft.fields.length) day.value = today();
restore();

form.addEventListener("input", keep);
form.addEventListener("submit", (event) => {
  event.preventDefault();
  const wrong = missing();
  refuse(wrong);
  if (wrong) return;
  keep();
  handOver();
});
if (draft.handed) handOver();

/** Give the entry to the outbox; a shoot that was handed over before goes out again under its own key. */
async function handOver() {
  draft.handed = true;
  write(draft);
  const { by, put: url, observe: person } = form.dataset;
  keepEntry(draft.key, { url, page: location.pathname, what: "A watched shoot", body: { by, ...body() } });
  lock(true);
  const said = {
    sending: "Sending…",
    kept: "Waiting: no connection. Kept on this phone, will send.",
  };
  const reply = await send(draft.key, ({ state }) => say(said[state]));
  if (reply.state === "sent") {
    write(null);
    say("Saved.");
    after.hidden = false;
  } else if (reply.state === "signed-out") {
    say("Waiting: you are signed out. Kept on this phone, will be sent after you sign in. ");
    const to = `${form.dataset.signIn}?next=${encodeURIComponent(`/observe/${person}/`)}`;
    line.append(make("a", { href: to }, "Sign in"));
  } else if (reply.state === "refused" || reply.state === "late") {
    if (reply.state === "late") draft.key = newKey(); // The old one belongs to another entry.
    draft.handed = false;
    write(draft);
    lock(false);
    say("");
    refuse(`Not saved. ${reply.words}`);
  } else {
    say("Not saved: you may not enter a shoot of this person, or somebody else filled it in. It is still kept on this phone.");
  }
}

function body() {
  const fields = new Map(new FormData(form));
  const seen = {};
  for (const [name, value] of fields) if (name.startsWith("seen-")) seen[name.slice(5)] = value;
  return {
    client_key: draft.key,
    shot_on: fields.get("shot_on"),
    seen,
    signed: fields.get("signed") === "yes",
    words: fields.get("words"),
  };
}

/** What keeps the shoot from being saved, in words; the server says the same. */
function missing() {
  if (!day.value) return "Give the day of the shoot.";
  const rows = [...form.querySelectorAll("fieldset.three")];
  const open = rows.filter((row) => !row.querySelector(":checked")).map((row) => row.querySelector("legend").textContent);
  if (open.length) return `Still open: ${open.join(", ")}.`;
  if (form.elements.signed.value !== "yes") return "";
  const skills = rows.filter((row) => row.querySelector(":checked[name^='seen-']"));
  const undone = skills.filter((row) => row.querySelector(":checked").value === "not done");
  if (undone.length) {
    const names = undone.map((row) => row.querySelector("legend").textContent).join(", ");
    return `It cannot be signed: not done was ${names}. Choose “Not yet”, then it can be saved.`;
  }
  if (!skills.some((row) => row.querySelector(":checked").value === "done")) return "It cannot be signed: nothing was seen done.";
  return "";
}

function keep() {
  draft.fields = [...new FormData(form)].filter(([name]) => !/csrf|^key$/.test(name));
  write(draft);
}

function restore() {
  for (const field of form.elements) {
    const values = draft.fields.filter(([name]) => name === field.name).map(([, value]) => value);
    if (!field.name || !values.length) continue;
    if (field.type === "radio") field.checked = values.includes(field.value);
    else [field.value] = values;
  }
}

function lock(on) {
  for (const field of form.elements) if (field.type !== "hidden") field.disabled = on;
}

function say(words) {
  line.textContent = words ?? "";
  line.hidden = !words;
}

function refuse(words) {
  problem.textContent = words;
  problem.hidden = !words;
  if (words) problem.focus();
}

function today() {
  const now = new Date();
  return new Date(now - now.getTimezoneOffset() * 60000).toISOString().slice(0, 10);
}

function read() {
  try {
    return JSON.parse(localStorage.getItem(place));
  } catch {
    return null;
  }
}

function write(value) {
  try {
    if (value) localStorage.setItem(place, JSON.stringify(value));
    else localStorage.removeItem(place);
  } catch {
    // No room or no leave to keep a draft; the page itself still holds it.
  }
}

document.documentElement.dataset.ready = "";

// Answers on their way: kept on this phone until the server has them, sent with a key made here.
//
// The key makes sending again harmless: the server stores one answer per key and gives its grade back.

import { letGo } from "../offline/pages.js";

const PREFIX = "levelhead:answer:";
const LONGEST_WAIT = 30000;

const memory = new Map();
function keep(name, value) {
  try {
    if (value === null) localStorage.removeItem(name);
    else localStorage.setItem(name, value);
  } catch {
    // Private browsing may refuse; then it is kept as long as the page stays open.
  }
  if (value === null) memory.delete(name);
  else memory.set(name, value);
}

function kept(name) {
  try {
    return localStorage.getItem(name) ?? memory.get(name) ?? null;
  } catch {
    return memory.get(name) ?? null;
  }
}

/** A random key in the form of a version 4 UUID, also where randomUUID is missing (plain http on a local net). */
export function newKey() {
  if (crypto.randomUUID) return crypto.randomUUID();
  const b = crypto.getRandomValues(new Uint8Array(16));
  b[6] = (b[6] & 0x0f) | 0x40;
  b[8] = (b[8] & 0x3f) | 0x80;
  const hex = [...b].map((x) => x.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

/** What is kept for an attempt but not sent yet, or null. */
export function waiting(attempt) {
  const text = kept(PREFIX + attempt);
  return text ? JSON.parse(text) : null;
}

/** Every attempt whose answer is still on this phone. */
export function allWaiting() {
  const names = new Set(memory.keys());
  try {
    for (let i = 0; i < localStorage.length; i++) names.add(localStorage.key(i));
  } catch {
    // Nothing more to find.
  }
  return [...names].filter((n) => n.startsWith(PREFIX)).map((n) => n.slice(PREFIX.length));
}

/** Keep an answer; the first key for an attempt stays, so that two taps are one answer. */
export function putIn(attempt, url, answer, sureness) {
  return keepEntry(attempt, {
    url,
    body: { client_key: newKey(), answer, sureness, answered_at: new Date().toISOString() },
  });
}

/** Keep ``{url, body}`` under a name, the first one; ``what`` says what it is, ``page`` which page sends it itself. */
export function keepEntry(name, made) {
  const entry = waiting(name) ?? made;
  keep(PREFIX + name, JSON.stringify(entry));
  return entry;
}

const takeOut = (attempt) => keep(PREFIX + attempt, null);
const underway = new Map();

/**
 * Send what is kept for an attempt until the server has spoken; ``tell`` hears about each state.
 *
 * The last state is ``sent``; ``late``, not taken any more, with the server's ``words``; ``refused``, unreadable, with
 * its words; ``signed-out`` or ``unknown``, and then it is still kept.
 */
export function send(attempt, tell = () => {}) {
  if (!underway.has(attempt)) {
    underway.set(attempt, sendUntilHeard(attempt, tell).finally(() => underway.delete(attempt)));
  }
  return underway.get(attempt);
}

async function sendUntilHeard(attempt, tell) {
  for (let wait = 1000; ; wait = Math.min(LONGEST_WAIT, wait * 2)) {
    const entry = waiting(attempt);
    if (!entry) return { state: "sent" };
    tell({ state: "sending" });
    let reply = null;
    try {
      reply = await fetch(entry.url, {
        method: "PUT",
        headers: { "Content-Type": "application/json", "X-CSRFToken": token() },
        body: JSON.stringify(entry.body),
        credentials: "same-origin",
      });
    } catch {
      reply = null;
    }
    // The site speaks JSON here; a page of a gateway, or of whoever owns the line, has taken nothing in.
    if (!reply?.headers.get("Content-Type")?.includes("json")) reply = null;
    if (reply?.ok || reply?.status === 409) {
      takeOut(attempt);
      await letGo(attempt);
      const said = reply.ok ? null : await reply.json().catch(() => ({}));
      if (!said || said.stands) return { state: "sent" };
      return { state: "late", words: said.detail ?? "It is not taken any more." };
    }
    if (reply?.status === 400) {
      takeOut(attempt);
      return { state: "refused", words: wordsOf(await reply.json().catch(() => ({}))) };
    }
    if (reply?.status === 401 || reply?.status === 403) return { state: "signed-out" };
    if (reply?.status === 404) return { state: "unknown" };
    tell({ state: "kept" });
    await pause(wait);
  }
}

function wordsOf(problem) {
  const found = [];
  const walk = (value) => {
    if (typeof value === "string") found.push(value);
    else if (value && typeof value === "object") Object.values(value).forEach(walk);
  };
  walk(problem);
  return found.join(" ") || "The answer could not be read.";
}

/** Wait, but no longer than until the connection is back. */
function pause(milliseconds) {
  return new Promise((resolve) => {
    const done = () => {
      clearTimeout(timer);
      removeEventListener("online", done);
      resolve();
    };
    const timer = setTimeout(done, milliseconds);
    addEventListener("online", done);
  });
}

/** The page's token against forged requests. */
export function token() {
  return document.body.dataset.token ?? "";
}

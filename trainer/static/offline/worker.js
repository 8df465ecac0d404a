// The browser's worker: open work stays readable without a connection.
//
// Network first, always; where a gateway answers in place of the site, what is held is shown. Kept are the site's own
// files and the pages that the server marks with Offline-Keep, in a store per person. API replies, grades and every
// other page are never kept. Signing out empties the pages' stores (offline/pages.js does that from the first page
// without a person on it).

const FILES = "levelhead-files";
const PAGES = "levelhead-pages-";
const MARK = "Offline-Keep";
const AWAY = "/offline/";
const FILES_MAX = 300;
const PAGES_MAX = 30;
const NO_SITE = [502, 503, 504]; // What a gateway says while the site behind it starts again.

self.addEventListener("install", (event) => {
  event.waitUntil(keepAway().then(() => self.skipWaiting()));
});

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("message", (event) => event.waitUntil(keepNow(event.data)));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(event));
  else if (isFile(url)) event.respondWith(file(event));
});

const isFile = (url) => url.origin === location.origin && url.pathname.startsWith("/static/");

async function page(event) {
  const { request } = event;
  let reply = null;
  try {
    reply = await fetch(request);
  } catch {
    return (await heldPage(request.url)) ?? (await caches.match(AWAY)) ?? Response.error();
  }
  event.waitUntil(note(request.url, reply.clone()));
  return (NO_SITE.includes(reply.status) && (await heldPage(request.url))) || reply;
}

async function file(event) {
  const { request } = event;
  try {
    const reply = await fetch(request);
    if (reply.ok) event.waitUntil(keepFile(request.url, reply.clone()));
    return (NO_SITE.includes(reply.status) && (await heldFile(request.url))) || reply;
  } catch (noConnection) {
    const held = await heldFile(request.url);
    if (held) return held;
    throw noConnection;
  }
}

const heldFile = (address) => caches.match(address, { ignoreVary: true });

/**
 * Keep a page that the server marked; let go of one that it does not mark any more. A fault of the moment says neither.
 */
async function note(address, reply) {
  if (reply.status >= 500 || reply.status === 429) return;
  const whose = reply.ok && !reply.redirected ? reply.headers.get(MARK) : null;
  for (const name of await pageStores()) {
    if (whose && name !== PAGES + whose) await caches.delete(name);
    else if (!whose) await (await caches.open(name)).delete(address);
  }
  if (!whose) return;
  const store = await caches.open(PAGES + whose);
  await store.put(address, reply);
  await trim(store, PAGES_MAX);
}

async function keepFile(address, reply) {
  const store = await caches.open(FILES);
  await store.put(address, reply);
  await trim(store, FILES_MAX);
}

/** The page that was open before this worker began, with the files it is made of. */
async function keepNow({ page: address, files }) {
  await keepFiles(files);
  await note(address, await fetch(address, { redirect: "manual" }));
}

/** What is shown in place of a page that is not kept. */
async function keepAway() {
  const reply = await fetch(AWAY, { credentials: "omit" });
  if (!reply.ok) throw new Error(`${AWAY} answers ${reply.status}`);
  const text = await reply.clone().text();
  await keepFile(new URL(AWAY, location).href, reply);
  await keepFiles([...text.matchAll(/(?:href|src)="(\/static\/[^"]+)"/g)].map(([, path]) => path));
}

async function keepFiles(addresses) {
  const wanted = addresses.map((address) => new URL(address, location)).filter(isFile);
  await Promise.all(
    wanted.map(async ({ href }) => {
      if (await heldFile(href)) return;
      const reply = await fetch(href);
      if (reply.ok) await keepFile(href, reply);
    }),
  );
}

async function heldPage(address) {
  for (const name of await pageStores()) {
    const held = await (await caches.open(name)).match(address, { ignoreVary: true });
    if (held) return held;
  }
  return null;
}

const pageStores = async () => (await caches.keys()).filter((name) => name.startsWith(PAGES));

/** Let the longest kept go. */
async function trim(store, most) {
  const held = await store.keys();
  await Promise.all(held.slice(0, Math.max(0, held.length - most)).map((request) => store.delete(request)));
}

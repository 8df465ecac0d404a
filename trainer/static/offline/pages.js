// The page's side of what is kept for hours without a connection: start the worker, hand it this page, empty its stores.

const PAGES = "levelhead-pages-";

/** Start the browser's worker; a page that came before it is handed over with the files it is made of. */
export async function startKeeping() {
  if (!navigator.serviceWorker) return;
  const early = !navigator.serviceWorker.controller;
  try {
    await navigator.serviceWorker.register("/offline.js", { scope: "/" });
  } catch {
    return; // The browser has no room or no leave for it; everything else works without.
  }
  const { active } = await navigator.serviceWorker.ready;
  if (!early) return;
  const files = performance.getEntriesByType("resource").map((one) => one.name);
  active.postMessage({ page: location.href.split("#")[0], files });
}

/** Nobody is signed in: no page of anybody stays on this phone. */
export async function keepNothing() {
  for (const name of await stores()) await caches.delete(name);
}

/** That attempt is answered: its open page is of no use any more. */
export async function letGo(attempt) {
  for (const name of await stores()) {
    const store = await caches.open(name);
    for (const request of await store.keys()) if (request.url.includes(attempt)) await store.delete(request);
  }
}

/** Pages on this phone: ``[{path, title}]``. */
export async function keptPages() {
  const found = [];
  for (const name of await stores()) {
    const store = await caches.open(name);
    for (const request of await store.keys()) {
      const page = new DOMParser().parseFromString(await (await store.match(request)).text(), "text/html");
      found.push({ path: new URL(request.url).pathname, title: page.title });
    }
  }
  return found;
}

async function stores() {
  try {
    return (await caches.keys()).filter((name) => name.startsWith(PAGES));
  } catch {
    return []; // Plain http on a local net, or no leave to keep anything.
  }
}

// The pages that the worker keeps for the dead spot: who asks for them, and when they go.

const PAGES = "offline-pages";
const WORKER = "/worker.js";

export const canKeepPages = () => window.isSecureContext && "serviceWorker" in navigator;

// Nobody is signed in here any more: what was kept for them goes. What waits to be sent stays.
export async function forgetPages() {
  if (window.isSecureContext) await caches.delete(PAGES);
}

// Let the worker keep the pages under `scope`, and this one at once: it was loaded before the
// worker was there to see it.
export async function keepPages(scope) {
  // Asked before it is registered: a new worker takes the page over while we wait for it.
  const sawItLoad = Boolean(navigator.serviceWorker.controller);
  await navigator.serviceWorker.register(WORKER, { scope, updateViaCache: "none" });
  const { active } = await navigator.serviceWorker.ready;
  if (!sawItLoad) active.postMessage({ pages: [location.href], assets: loaded() });
}

// Keep these pages anew, as they are now on the server.
export async function renewPages(pages) {
  const registration = canKeepPages() && await navigator.serviceWorker.getRegistration();
  registration?.active?.postMessage({ pages, assets: [] });
}

// Everything that this page has loaded so far, scripts, styles and fonts.
function loaded() {
  return performance.getEntriesByType("resource").map((each) => each.name);
}

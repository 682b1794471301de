// Runs on every page: forgets kept pages where nobody is signed in, and fetches the rest of the
// scripts only where a page can queue something or something waits already.

import { canKeepPages, forgetPages, keepPages } from "./pages.js";

const canQueue = window.isSecureContext && "locks" in navigator && "indexedDB" in window;

async function isAnythingKept() {
  const { kept } = await import("./store.js");
  return (await kept()).entries.length > 0;
}

async function queue() {
  if (!canQueue) return;
  // A kept page says how old it is, also to those who only look.
  const mayBeKept = "keepsPages" in document.body.dataset;
  if (mayBeKept || document.querySelector("form[data-queue]") || await isAnythingKept()) {
    const { run } = await import("./queue.js");
    run();
  }
}

// All that belongs to the page is there, so that all of it can be kept.
async function loaded() {
  if (document.readyState === "complete") return;
  await new Promise((resolve) => { window.addEventListener("load", resolve, { once: true }); });
}

async function start() {
  // The sign-in page: it is only ever shown with a connection, so nobody is left without a card.
  if ("nobody" in document.body.dataset) await forgetPages();
  for (const form of document.querySelectorAll("form[data-signs-out]")) {
    form.addEventListener("submit", forgetPages);
  }
  if (document.querySelector("form[data-needs-connection]")) {
    (await import("./connection.js")).run();
  }
  await queue();
  const scope = document.body.dataset.keepsPages;
  if (!scope || !canKeepPages()) return;
  await loaded();
  await keepPages(scope);
}

start();

// The service worker: keeps the last seen job cards, and what they need to be shown, for the dead
// spot. The server says which pages may be kept, and for whom, in a header; nothing else is.
//
// Network first: with a connection nobody ever sees an old page. Without one, or where it is
// slower than anybody waits, the kept page is shown, and says how old it is.
"use strict";

const PAGES = "offline-pages";
const ASSETS = "offline-assets";
const KEEP_FOR = "X-Keep-For";
const KEPT_AT = "X-Kept-At";
const PERSON = "/kept-for";          // not a page: under this name stands whose pages they are
const MOST_PAGES = 40;
const LONGEST = 14 * 24 * 3600 * 1000;
const SLOWEST = 4000;
const DOWN = new Set([502, 503, 504]);
const POLICY = "default-src 'self'; object-src 'none'; base-uri 'none'; frame-ancestors 'none'";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (request.mode === "navigate") event.respondWith(page(event, url.pathname));
  else if (url.pathname.startsWith("/static/")) event.respondWith(asset(event));
});

// A page asks to have pages kept that were loaded without the worker, or have changed since.
self.addEventListener("message", (event) => {
  const { pages, assets } = event.data;
  const own = (list) => list.filter((each) => new URL(each, location).origin === location.origin);
  event.waitUntil(Promise.allSettled([
    ...own(pages).map(async (each) => {
      await keepPage(await fetch(each, { redirect: "manual" }), new URL(each, location).pathname);
    }),
    ...own(assets).filter((each) => new URL(each).pathname.startsWith("/static/"))
      .map(async (each) => keepAsset(await fetch(each), each)),
  ]));
});

async function page(event, path) {
  const asked = fetch(event.request);
  const keeping = asked.then((answer) => keepPage(answer.clone(), path));
  event.waitUntil(keeping.catch(() => null));
  const kept = await keptPage(path);
  try {
    const answer = await (kept ? atMost(SLOWEST, asked) : asked);
    return DOWN.has(answer.status) && kept ? marked(kept) : answer;
  } catch {
    return kept ? marked(kept) : nothingKept();
  }
}

async function asset(event) {
  const asked = fetch(event.request);
  const keeping = asked.then((answer) => keepAsset(answer.clone(), event.request.url));
  event.waitUntil(keeping.catch(() => null));
  const kept = await (await caches.open(ASSETS)).match(event.request.url, { ignoreVary: true });
  try {
    return await (kept ? atMost(SLOWEST, asked) : asked);
  } catch {
    return kept ?? Response.error();
  }
}

function atMost(milliseconds, promise) {
  const late = new Promise((_, reject) => { setTimeout(() => reject(new Error("too slow")), milliseconds); });
  return Promise.race([promise, late]);
}

async function keepAsset(answer, url) {
  if (answer.status === 200) await (await caches.open(ASSETS)).put(url, answer);
}

// Keep a page that the server lets us keep; drop one that it no longer shows.
async function keepPage(answer, path) {
  const person = answer.headers.get(KEEP_FOR);
  if (answer.status === 403 || answer.status === 404 || answer.status === 410) {
    await (await caches.open(PAGES)).delete(path);
  }
  if (answer.status !== 200 || !person) return;
  const pages = await pagesOf(person);
  const headers = new Headers(answer.headers);
  headers.set(KEPT_AT, new Date().toISOString());
  await pages.delete(path); // so that it comes last: the oldest is first
  await pages.put(path, new Response(await answer.blob(), { headers }));
  const all = (await pages.keys()).filter((each) => new URL(each.url).pathname !== PERSON);
  for (const each of all.slice(0, -MOST_PAGES)) await pages.delete(each);
}

// The pages of one person; those of anybody else are thrown away first.
async function pagesOf(person) {
  const pages = await caches.open(PAGES);
  const whose = await pages.match(PERSON);
  if (whose && await whose.text() === person) return pages;
  await caches.delete(PAGES);
  const fresh = await caches.open(PAGES);
  await fresh.put(PERSON, new Response(person));
  return fresh;
}

async function keptPage(path) {
  const kept = await (await caches.open(PAGES)).match(path, { ignoreVary: true });
  if (!kept || path === PERSON) return null;
  return Date.now() - Date.parse(kept.headers.get(KEPT_AT)) < LONGEST ? kept : null;
}

// The kept page with the time of keeping on its first element, where the page's script reads it.
async function marked(kept) {
  const text = await kept.text();
  const since = `<html data-as-of="${kept.headers.get(KEPT_AT)}"`;
  return new Response(text.replace("<html", since), { headers: kept.headers });
}

// What is shown where the card was never opened on this phone: which ones were.
async function nothingKept() {
  const pages = await caches.open(PAGES);
  const rows = [];
  for (const each of await pages.keys()) {
    const { pathname } = new URL(each.url);
    if (!await keptPage(pathname)) continue;
    const title = /<title>([^<]*)<\/title>/.exec(await (await pages.match(each)).text());
    rows.push(`<li class="card"><a class="card-link" href="${pathname}">${title?.[1].split(" · ")[0] ?? pathname}</a></li>`);
  }
  const there = rows.length
    ? `<p>These job cards were, and can be seen:</p><ul class="cards">${rows.reverse().join("")}</ul>`
    : "<p>No job card is kept here.</p>";
  const body = `<!doctype html><html lang="en-GB"><head><meta charset="utf-8">
    <meta name="viewport" content="width=device-width, initial-scale=1"><title>No connection</title>
    <link rel="stylesheet" href="/static/css/shop.css"></head><body><main class="page page-narrow">
    <header class="page-head"><div><h1>No connection</h1>
    <p class="lead">This page was not opened on this device before. Load it again where there is a connection.</p>
    </div></header><section class="sheet stack">${there}</section></main></body></html>`;
  const headers = { "Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": POLICY };
  return new Response(body, { status: 503, headers });
}

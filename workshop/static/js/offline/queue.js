// Takes what a person does on a page into the queue, and keeps what is shown in step with it.
//
// A form that may be sent later says so by `data-queue` (see kinds.js); it stands in its task's
// row, or names the task itself by `data-task`. Its fields are kept first and sent then, with or
// without a connection: what was ticked stays ticked, even if the page is closed at once. A form
// with something to fill in adds `data-queue-when="offline"`: with a connection it goes the usual
// way, and what is wrong in it is said beside the field.

import { QUICK, draw, rowOf, say, showStrip } from "./drawing.js";
import { kindOf } from "./kinds.js";
import { renewPages } from "./pages.js";
import * as sender from "./sender.js";
import * as store from "./store.js";

const LONGEST_KNOWN = 7 * 24 * 3600 * 1000;
const to_renew = new Set();
let seen = { entries: [], versions: [] };
let later = null;

export function run() {
  // At the document and before htmx, which listens at the form itself.
  document.addEventListener("submit", take, { capture: true });
  document.addEventListener("click", press);
  for (const swapped of ["htmx:afterSettle", "htmx:oobAfterSwap"]) {
    document.addEventListener(swapped, () => { drawSeen(); redraw(); });
  }
  document.addEventListener("htmx:sendError", unsent);
  document.addEventListener("htmx:afterRequest", heard);
  window.addEventListener("online", sender.sendAtOnce);
  window.addEventListener("offline", () => { sender.status.connected = false; redraw(); });
  window.addEventListener("pageshow", (event) => { if (event.persisted) sender.sendAtOnce(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) sender.sendAtOnce(); });
  sender.listen(changed);
  redraw();
  sender.send();
}

function take(event) {
  const form = event.target;
  if (!form.dataset.queue) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  const entry = written(form, event.submitter);
  if (form.dataset.queueWhen === "offline") takeIfAway(form, entry);
  else keep(form, entry);
}

// With a connection the form goes the usual way. Whether there is one, only the server can tell;
// and what waits for the task already goes first.
async function takeIfAway(form, entry) {
  const isBehind = seen.entries.some((each) => each.state === "waiting" && each.chain === entry.chain);
  if (!isBehind && await sender.isThere()) {
    HTMLFormElement.prototype.submit.call(form);
  } else {
    await keep(form, entry);
    showStrip();
  }
}

const chainOf = (form) => `task-${form.dataset.task ?? form.closest("[data-task]")?.dataset.task}`;

async function keep(form, entry) {
  try {
    await store.add(entry);
  } catch {
    say("This browser has no room to keep it. It was not done: try again with a connection.");
    return;
  }
  navigator.storage?.persist?.();
  form.reset(); // what was typed is kept now: pressed again, it would be a second one
  await redraw();
  sender.tell();
  sender.send();
}

function written(form, submitter) {
  const kind = kindOf(form.dataset.queue);
  const fields = [...new FormData(form, submitter)].filter(([name]) => name !== "csrfmiddlewaretoken");
  const base = fields.find(([name]) => name === "base_version");
  return {
    key: crypto.randomUUID(),
    fields,
    base: base && kind.versioned ? Number(base[1]) : null,
    becomes: kind.after(rowOf(chainOf(form))?.dataset.shown || "to_do"),
    chain: chainOf(form),
    url: new URL(form.action).pathname,
    words: (submitter ?? form).textContent.trim().replace(/\s+/g, " "),
    entered: typed(form),
    page: location.pathname,
    title: document.title.split(" · ")[0],
    person: sender.shownPerson(),
    name: document.body.dataset.personName,
    made: Date.now(),
  };
}

// What the person typed or chose, so that it can be read where it was refused.
function typed(form) {
  const shown = [...form.elements].filter((each) => each.name && !["hidden", "submit"].includes(each.type));
  const used = shown.filter((each) => !["checkbox", "radio"].includes(each.type) || each.checked);
  return used.map((each) => each.value.trim()).filter(Boolean).join(", ");
}

async function press(event) {
  const button = event.target.closest("[data-queue-does]");
  if (!button) return;
  const seq = Number(button.dataset.seq);
  if (button.dataset.queueDoes === "dismiss") await store.dismiss(seq);
  if (button.dataset.queueDoes === "again") await store.again(seq);
  await redraw();
  sender.tell();
  sender.sendAtOnce();
}

// Something was kept, sent or refused, here or in another tab.
async function changed(answered) {
  if (answered) {
    to_renew.add(answered.entry.page);
    if (answered.taken) leaveAs(answered.entry);
    // The page asks the server how things stand now.
    document.getElementById("card-live")?.dispatchEvent(new CustomEvent("queue-sent"));
  }
  await redraw();
  if (answered) return;
  const here = to_renew.has(location.pathname);
  await renew();
  if (sender.status.connected) refresh(here);
}

// Sent, but the row is still the old one: draw it as it will be until it is swapped.
function leaveAs(entry) {
  const row = rowOf(entry.chain);
  if (row && entry.becomes) row.dataset.sent = entry.becomes;
}

// Once a run is over, the kept pages that it changed are kept anew.
async function renew() {
  if (!to_renew.size || !sender.status.connected) return;
  const pages = [...to_renew];
  to_renew.clear();
  await renewPages(pages);
}

const drawSeen = () => draw(seen, sender.status, sender.shownPerson());

async function redraw() {
  seen = await store.kept();
  drawSeen();
  // What is not sent at once gets its line at the top as soon as it is slow.
  clearTimeout(later);
  const young = seen.entries.some((each) => each.state === "waiting" && Date.now() - each.made <= QUICK);
  if (young) later = setTimeout(redraw, QUICK);
  const old = Date.now() - LONGEST_KNOWN;
  if (seen.versions.some((each) => each.at < old)) await store.forgetVersions((each) => each.at < old);
}

// htmx could not reach the server, when it asked what is new.
function unsent() {
  sender.status.connected = false;
  redraw();
  sender.tryLater();
}

// Any request of the page that gets through tells that the connection is back.
function heard(event) {
  if (!event.detail.xhr?.status || sender.status.connected) return;
  sender.status.connected = true;
  sender.sendAtOnce();
}

// A page that was kept is loaded anew, and so is one that does not ask for news by itself once
// something of it was sent; but not while somebody is typing.
function refresh(wasSent) {
  const isLive = document.getElementById("card-live");
  if (!document.documentElement.dataset.asOf && (isLive || !wasSent)) return;
  const fields = [...document.querySelectorAll("input, textarea")];
  const typing = fields.some((each) => each.type !== "hidden" && each.value !== each.defaultValue);
  if (!typing && !document.querySelector("dialog[open]")) location.reload();
}

// Sends what waits: in order, each once, by one tab at a time.
//
// Once, because the entry's key goes with it and the server does nothing twice under one key; so
// an entry is only forgotten on the server's word, and sent again where the reply was lost.
// In order, because nothing is sent before the one ahead of it was answered.
// As the person who did it, because the server is asked first who is signed in, and its answer
// holds the token of that very sign-in: whoever signs in after that makes the token void.

import { FORBIDDEN, hopeless, isHopeless, meaning, patience } from "./rules.js";
import * as store from "./store.js";

const LOCK = "offline-send";
const SLOWEST_REPLY = 20_000;
const QUICKEST = 4_000; // nobody waits longer for a button
const WHO = "/offline/who/";

// A page that was kept is only shown where the server could not be reached.
const isKept = "asOf" in document.documentElement.dataset;
export const status = { connected: navigator.onLine && !isKept, session: "here" };

const otherTabs = new BroadcastChannel("offline");
const listeners = new Set();
let isInLine = false;
let failures = 0;
let timer = null;

export function listen(listener) {
  listeners.add(listener);
}

otherTabs.onmessage = () => tell({ quietly: true });

// Tell this page and, unless it was they who told us, the other tabs. `answered` is an entry that
// the server has just answered, and whether it took it.
export function tell({ quietly = false, answered = null } = {}) {
  if (!quietly) otherTabs.postMessage("changed");
  for (const listener of listeners) listener(answered);
}

// Send all that waits. May be called at any time from any tab: the lock lets one send, and who
// comes while it does looks once more afterwards, so that nothing is overlooked.
export function send() {
  if (isInLine) return;
  isInLine = true;
  clearTimeout(timer);
  timer = null;
  navigator.locks.request(LOCK, async () => {
    isInLine = false;
    try {
      await sendAll();
      failures = 0;
    } catch (error) {
      if (!(error instanceof NotNow)) throw error;
      status.connected = error.connected;
      tryLater();
    }
  }).finally(() => tell());
}

// A connection is said to be back: do not sit out the wait.
export function sendAtOnce() {
  failures = 0;
  send();
}

// Try again after a while, a longer one each time.
export function tryLater() {
  if (timer) return;
  timer = setTimeout(send, patience(failures));
  failures += 1;
}

class NotNow extends Error {
  constructor({ connected }) {
    super("to be tried later");
    this.connected = connected;
  }
}

async function sendAll() {
  // A kept page asks in any case: it wants to know when the server is there again.
  if (!isKept && !await next(null)) return;
  let who = await ask();
  let renewed = false;
  for (;;) {
    const entry = who && await next(who.person);
    if (!entry) return;
    const { answer, reply } = await post(entry, who.token);
    if (reply.then === "sent") {
      await store.settle(entry, reply.version);
      tell({ answered: { entry, taken: true } });
    } else if (reply.then === "refused") {
      await store.refuse(entry, reply.outcome, reply.words);
      tell({ answered: { entry, taken: false } });
    } else if (reply.then === "trouble") {
      if (!isHopeless(await store.note(entry))) throw new NotNow({ connected: true });
      await store.refuse(entry, "trouble", hopeless(answer.status));
    } else if (renewed) {
      await store.refuse(entry, "refused", FORBIDDEN);
    } else {
      // The session has ended, or the token is another sign-in's: find out, then once more.
      who = await ask();
      renewed = true;
      continue;
    }
    renewed = false;
  }
}

// Whether the server can be reached now, and somebody is signed in.
export async function isThere() {
  try {
    return Boolean(await ask(QUICKEST));
  } catch (error) {
    if (!(error instanceof NotNow)) throw error;
    status.connected = error.connected;
    tryLater();
    return false;
  }
}

// The first entry that waits: of anybody, or of one person.
async function next(person) {
  const { entries } = await store.kept();
  return entries.find((each) => each.state === "waiting" && (person === null || each.person === person));
}

// Who is signed in, with a fresh token; null where nobody is.
async function ask(longest = SLOWEST_REPLY) {
  const answer = await reach(WHO, {}, longest);
  if (answer.type === "opaqueredirect" || answer.status === 401) {
    status.session = "ended";
    return null;
  }
  if (!answer.ok) throw new NotNow({ connected: true });
  const who = await read(answer);
  if (!who) throw new NotNow({ connected: false }); // some gateway's page, not our server
  status.session = who.person === shownPerson() ? "here" : "another";
  return who;
}

// Whose page this is.
export function shownPerson() {
  return Number(document.body.dataset.person) || null;
}

async function post(entry, token) {
  const fields = new URLSearchParams(entry.fields);
  fields.set("key", entry.key);
  if (entry.base !== null) fields.set("base_version", entry.base);
  // How long ago, not when: the phone's clock may be wrong, but it runs at the right speed.
  fields.set("seconds_ago", Math.max(0, Math.round((Date.now() - entry.made) / 1000)));
  const headers = { Accept: "application/json", "X-CSRFToken": token };
  const answer = await reach(entry.url, { method: "POST", body: fields, headers });
  const redirected = answer.type === "opaqueredirect";
  const said = redirected ? null : await read(answer);
  return { answer, reply: meaning(entry, answer.status, redirected, said) };
}

async function reach(url, options, longest = SLOWEST_REPLY) {
  try {
    const answer = await fetch(url, {
      ...options, redirect: "manual", cache: "no-store", signal: AbortSignal.timeout(longest),
    });
    status.connected = true;
    return answer;
  } catch {
    throw new NotNow({ connected: false });
  }
}

// What the answer says, where it is JSON; a reply that breaks off counts as lost.
async function read(answer) {
  if (!answer.headers.get("Content-Type")?.startsWith("application/json")) return null;
  try {
    return await answer.json();
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw new NotNow({ connected: false });
  }
}

// Draws what waits, what was refused and how the connection is. The words and shapes stand in
// templates/components/queue.html; here they are only filled in and shown.
//
// A task's row says in `data-now` how it stands (to_do, done, running …); its parts say in
// `data-when` at which of these they are shown. The row is drawn as what waits will leave it.

export const QUICK = 2000; // what is sent within this time is not worth a line at the top

const strip = () => document.querySelector("[data-queue-strip]");

// The row of a chain, "task-12", where the page has one.
export const rowOf = (chain) => document.querySelector(`[data-now][data-task="${chain.replace("task-", "")}"]`);

// Say something that concerns no entry.
export function say(words) {
  fill("said", words);
  strip().hidden = false;
}

// Where the page has no row that tells it, the line at the top is what tells that it was kept.
export function showStrip() {
  strip().scrollIntoView({ block: "nearest" });
}

export function draw({ entries, versions }, status, person) {
  const own = entries.filter((each) => each.person === person);
  const known = versions.filter((each) => each.person === person);
  drawStrip(entries, own, status, person);
  for (const row of document.querySelectorAll("[data-now]")) drawRow(row, own, known, status);
  drawFoot();
}

function drawStrip(entries, own, status, person) {
  const waiting = own.filter(isWaiting);
  const held_up = !status.connected || status.session !== "here";
  const shown = held_up ? waiting : waiting.filter((each) => Date.now() - each.made > QUICK);
  const since = document.documentElement.dataset.asOf;
  fill("as_of", since && !status.connected ? clock(since) : "");
  fill("gone", since || status.connected ? "" : "yes");
  fill("waiting", shown.length ? String(shown.length) : "");
  fill("ended", person && waiting.length && status.session === "ended" ? "yes" : "");
  fill("another", waiting.length && status.session === "another" ? "yes" : "");
  fill("others", counted(entries.filter((each) => isWaiting(each) && each.person !== person)));
  strip().querySelector("[data-sign-in]").search = `?next=${encodeURIComponent(location.pathname)}`;
  const elsewhere = own.filter((each) => !rowOf(each.chain));
  drawNotes(strip().querySelector("[data-queue-notes]"), elsewhere, { whereFrom: true });
  strip().hidden = !strip().querySelector("[data-line]:not([hidden]), .notice");
}

// Fill a line of the strip and show it, or hide it where there is nothing to fill in.
function fill(line, text) {
  const element = strip().querySelector(`[data-line="${line}"]`);
  const place = element.querySelector("[data-fill]");
  // Only what has changed is written: a screen reader reads out what is written anew.
  if (place && place.textContent !== text) place.textContent = text;
  element.hidden = !text;
}

function drawRow(row, own, known, status) {
  const chain = `task-${row.dataset.task}`;
  const here = own.filter((each) => each.chain === chain);
  const waiting = here.filter(isWaiting);
  const now = stateOf(row, waiting, known.find((each) => each.chain === chain));
  const drawn = JSON.stringify([here.map((each) => [each.key, each.state]), now, status.connected]);
  if (row.dataset.drawn === drawn) return;
  row.dataset.drawn = drawn;
  row.dataset.shown = now;
  const hadFocus = row.contains(document.activeElement);
  for (const part of row.querySelectorAll("[data-when]")) {
    part.hidden = !part.dataset.when.split(" ").includes(now);
  }
  row.classList.toggle("task-waiting", waiting.length > 0);
  row.querySelector(".queue-mark")?.remove();
  if (waiting.length) (row.querySelector("[data-queue-mark]") ?? row).append(mark(waiting, status));
  drawNotes(notesIn(row), here, { whereFrom: false });
  if (hadFocus && !row.contains(document.activeElement)) {
    row.querySelector("form:not([hidden]) button")?.focus();
  }
}

// How the row stands after all that was done here: what waits, else what was sent and the page
// does not show yet, else as the page says.
function stateOf(row, waiting, known) {
  const last = waiting.findLast((each) => each.becomes);
  if (last) return last.becomes;
  if (row.dataset.sent) return row.dataset.sent;
  return known?.version > Number(row.dataset.version) ? known.becomes : row.dataset.now;
}

// The button at the thumb ticks the first task that is still to do, also without the server.
function drawFoot() {
  const foot = document.querySelector("#card-foot form[data-queue=tick]");
  if (!foot || isToTick(rowOf(`task-${foot.dataset.task}`))) return;
  const next = document.querySelector("[data-now] form[data-queue=tick]:not([hidden])");
  foot.hidden = !next;
  if (!next) return;
  foot.action = next.action;
  foot.dataset.task = next.closest("[data-task]").dataset.task;
  foot.elements.base_version.value = next.elements.base_version.value;
  const words = foot.querySelector(".foot-words");
  const said = next.textContent.trim().replace(/^Tick/, "Done");
  if (words.textContent !== said) words.textContent = said;
}

const isToTick = (row) => row?.querySelector("form[data-queue=tick]:not([hidden])");

function mark(waiting, status) {
  const made = template("mark");
  made.classList.add("queue-mark");
  const what = status.connected ? "being sent" : "waiting to be sent";
  made.querySelector("[data-fill]").textContent = waiting.length > 1 ? `${what}: ${waiting.length}` : what;
  made.title = waiting.map(told).join("; ");
  return made;
}

// Show what was refused, each with what was held back for it, until the person takes note.
function drawNotes(place, entries, { whereFrom }) {
  const refused = entries.filter((each) => each.state === "refused");
  const state = JSON.stringify(entries.map((each) => [each.key, each.state]));
  if (!place || place.dataset.drawn === state) return;
  place.dataset.drawn = state;
  place.replaceChildren(...refused.map((each) => {
    const held = entries.filter((other) => other.under === each.key);
    const made = template("note");
    const put = (name, text) => { made.querySelector(`[data-fill=${name}]`).textContent = text; };
    put("words", (whereFrom ? `${each.title}, ` : "") + told(each));
    put("reply", each.reply);
    put("held", held.length ? `Not sent, because it came on top of that: ${held.map(told).join("; ")}.` : "");
    for (const button of made.querySelectorAll("button")) button.dataset.seq = each.seq;
    made.querySelector("[data-queue-does=again]").hidden = each.outcome !== "trouble";
    return made;
  }));
}

const isWaiting = (each) => each.state === "waiting";
const clock = (when) => new Intl.DateTimeFormat(document.documentElement.lang, daysAway(when)).format(new Date(when));
const told = (each) => [each.words, each.entered, clock(each.made)].filter(Boolean).join(", ");

// The time of today, with the day where it was another.
function daysAway(when) {
  const time = { hour: "2-digit", minute: "2-digit" };
  if (new Date(when).toDateString() === new Date().toDateString()) return time;
  return { weekday: "short", day: "numeric", month: "short", ...time };
}

// "Tom Bench: 2, Bea Bench: 1"
function counted(entries) {
  const counts = new Map();
  for (const each of entries) counts.set(each.name, (counts.get(each.name) ?? 0) + 1);
  return [...counts].map(([name, count]) => `${name}: ${count}`).join(", ");
}

function template(name) {
  const found = document.querySelector(`template[data-queue-${name}]`);
  return found.content.cloneNode(true).firstElementChild;
}

function notesIn(row) {
  const place = row.querySelector("[data-queue-notes]");
  if (place) return place;
  const made = document.createElement("div");
  made.className = "notices";
  made.dataset.queueNotes = "";
  row.append(made);
  return made;
}

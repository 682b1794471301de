// For what cannot wait to be sent, photos above all: says at the form that there is no connection,
// and leaves everything in it as it is.
//
// Such a form has `data-needs-connection` and holds the notice, which is hidden. htmx leaves the
// page as it is by itself. Any other form would give way to the browser's own page of failure, so
// the server is asked first whether it is there.

const WHO = "/offline/who/";
const SLOWEST = 8_000;
const NEEDING = "form[data-needs-connection]";

export function run() {
  document.addEventListener("submit", take, { capture: true });
  document.addEventListener("htmx:sendError", (event) => tell(event.detail.elt.closest(NEEDING)));
  document.addEventListener("htmx:beforeRequest", (event) => hush(event.detail.elt.closest(NEEDING)));
  window.addEventListener("offline", () => each(tell));
  window.addEventListener("online", () => each(hush));
  each(navigator.onLine ? hush : tell);
}

const each = (does) => document.querySelectorAll(NEEDING).forEach(does);
const noticeOf = (form) => form.querySelector("[data-no-connection]");
const tell = (form) => stand(form, "gone");
const hush = (form) => stand(form, "there");

function stand(form, connection) {
  if (!form) return;
  form.dataset.connection = connection;
  noticeOf(form).hidden = connection === "there";
}

async function take(event) {
  const form = event.target;
  if (!form.matches(NEEDING) || form.hasAttribute("hx-post")) return;
  if (form.dataset.asked === "there") {
    delete form.dataset.asked;
    return;
  }
  event.preventDefault();
  event.stopImmediatePropagation();
  if (form.dataset.asked) return; // pressed twice
  const { submitter } = event;
  form.dataset.asked = "asking";
  if (await isThere()) {
    hush(form);
    form.dataset.asked = "there";
    form.requestSubmit(submitter);
  } else {
    delete form.dataset.asked;
    tell(form);
    noticeOf(form).scrollIntoView({ block: "center" });
  }
}

// Any reply tells that the server can be reached.
async function isThere() {
  try {
    await fetch(WHO, { redirect: "manual", cache: "no-store", signal: AbortSignal.timeout(SLOWEST) });
    return true;
  } catch {
    return false;
  }
}

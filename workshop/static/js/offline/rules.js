// What a reply of the server means for the entry that was sent. No side effects.

const MOST_TROUBLES = 5;
const LONGEST_WAIT = 60_000;

// Returns { then, words, version }; `then` is one of
//   "sent"     done, now or already before: forget the entry
//   "refused"  the server says no: keep its words at the row
//   "ended"    nobody is signed in: keep everything and ask
//   "token"    the token was refused: get a fresh one, and try once more
//   "trouble"  the server's own failure: try later, not for ever
export function meaning(entry, status, redirected, said) {
  if (redirected) return { then: "ended" };
  switch (said?.outcome) {
    case "done": return { then: "sent", version: said.version ?? null };
    case "already": return { then: "sent", version: given(entry, said.version ?? null) };
    case "conflict":
    case "refused": return { then: "refused", outcome: said.outcome, words: said.words };
  }
  if (status === 401) return { then: "ended" };
  if (status === 403) return { then: "token" };
  // A success without its words was cut short on the way: the key makes asking again harmless.
  if (status < 300 || status >= 500 || status === 408 || status === 429) return { then: "trouble" };
  return { then: "refused", outcome: "refused", words: unsaid(status) };
}

// "Already" comes when the reply to the first sending was lost. The version it tells is that of
// today; what was done on top of ours must be held to the one that ours made, which is the next.
// If somebody changed the task since, the server then sees it.
function given(entry, version) {
  return entry.base === null || version === null ? version : Math.min(version, entry.base + 1);
}

function unsaid(status) {
  if (status === 404) return "It is not there any more.";
  return `The server did not take it (answer ${status}).`;
}

export const isHopeless = (troubles) => troubles >= MOST_TROUBLES;

export const hopeless = (status) =>
  `The server failed over it several times (answer ${status}). What comes after it is being sent.`;

export const FORBIDDEN = "You may not do this, or may not do it any more.";

// How long to wait after so many failures in a row: longer each time, and never all at once.
export function patience(failures) {
  const longest = Math.min(LONGEST_WAIT, 1000 * 2 ** failures);
  return longest / 2 + Math.random() * (longest / 2);
}

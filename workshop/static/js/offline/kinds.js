// What can be queued, by the form's `data-queue`: how a row stands after it, and whether it is
// done on top of a version of the task, so that the order among them counts.

const KINDS = {
  tick: { after: () => "done", versioned: true },
  undo: { after: () => "to_do", versioned: true },
  start: { after: (now) => `${now}_running`, versioned: false },
  pause: { after: (now) => now.replace("_running", ""), versioned: false },
};

// Anything else changes nothing that is drawn.
const OTHER = { after: () => "", versioned: false };

export const kindOf = (name) => KINDS[name] ?? OTHER;

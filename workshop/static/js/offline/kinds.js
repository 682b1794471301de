// What can be queued, by the form's `data-queue`: how a row stands after it, and whether it is
// done on top of a version of the task, so that the order among them counts.

export const KINDS = {
  tick: { becomes: "done", versioned: true },
  undo: { becomes: "to_do", versioned: true },
  start: { becomes: "running", versioned: false },
  pause: { becomes: "to_do", versioned: false },
};

const ANY = { becomes: "", versioned: false };

export const kindOf = (name) => KINDS[name] ?? ANY;

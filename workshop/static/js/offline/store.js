// What was done without a connection, kept in IndexedDB: there it outlives a reload, a closed tab
// and a flat battery.
//
// An entry is waiting (to be sent), refused (the server said no, in words) or held (it was done on
// top of one that was refused, and is not sent). It leaves the store only when the server has
// taken it, or when the person has taken note of the refusal.
//
// Entries that carry a version hang together by their chain (one task): the second is done on
// top of what the first makes of the task. `versions` keeps what each chain came to by our own
// doing, so that a page kept from before does not make a later tick look out of date.

const NAME = "offline";
const LAYOUT = 1;
let opening = null;

function open() {
  opening ??= new Promise((resolve, reject) => {
    const ask = indexedDB.open(NAME, LAYOUT);
    ask.onupgradeneeded = () => {
      ask.result.createObjectStore("entries", { keyPath: "seq", autoIncrement: true });
      ask.result.createObjectStore("versions", { keyPath: ["person", "chain"] });
    };
    ask.onerror = () => { opening = null; reject(ask.error); };
    ask.onsuccess = () => {
      const store = ask.result;
      // A newer layout in another tab, or the browser, closes it: the next use opens it again.
      store.onversionchange = () => { store.close(); opening = null; };
      store.onclose = () => { opening = null; };
      resolve(store);
    };
  });
  return opening;
}

const answered = (ask) => new Promise((resolve, reject) => {
  ask.onsuccess = () => resolve(ask.result);
  ask.onerror = () => reject(ask.error);
});

// Do the work in one transaction: all of it is kept, or nothing.
async function within(mode, work) {
  const store = await open();
  return new Promise((resolve, reject) => {
    // "strict": a tick that was shown as kept is on the disk, not in a buffer.
    const unit = store.transaction(["entries", "versions"], mode, { durability: "strict" });
    let result;
    unit.oncomplete = () => resolve(result);
    unit.onabort = () => reject(unit.error ?? new Error("The browser could not keep it."));
    work(unit.objectStore("entries"), unit.objectStore("versions")).then(
      (value) => { result = value; },
      (error) => { reject(error); unit.abort(); },
    );
  });
}

// All that is kept, in the order in which it was done.
export function kept() {
  return within("readonly", async (entries, versions) => ({
    entries: await answered(entries.getAll()),
    versions: await answered(versions.getAll()),
  }));
}

// Keep an entry. `base` is the version that the page showed; null where the action has none.
export function add(entry) {
  return within("readwrite", async (entries, versions) => {
    const before = (await answered(entries.getAll())).filter((each) => isBefore(each, entry));
    const known = await answered(versions.get([entry.person, entry.chain]));
    const row = {
      ...entry,
      state: "waiting",
      troubles: 0,
      behind: before.at(-1)?.key ?? null,
      base: entry.base === null ? null : Math.max(entry.base, known?.version ?? 0),
    };
    return answered(entries.add(row));
  });
}

const isBefore = (each, entry) => entry.base !== null && each.base !== null
  && each.state === "waiting" && each.person === entry.person && each.chain === entry.chain;

// The server has taken it: forget it, and hand the version on to what was done on top of it.
export function settle(entry, version) {
  return within("readwrite", async (entries, versions) => {
    await answered(entries.delete(entry.seq));
    if (entry.base === null || version === null) return;
    const { person, chain, becomes } = entry;
    await answered(versions.put({ person, chain, version, becomes, at: Date.now() }));
    for (const each of await answered(entries.getAll())) {
      if (each.behind === entry.key) await answered(entries.put({ ...each, behind: null, base: version }));
    }
  });
}

// The server has said no: keep its words, and hold back what was done on top of it.
export function refuse(entry, outcome, words) {
  return within("readwrite", async (entries) => {
    const all = await answered(entries.getAll());
    await answered(entries.put({ ...entry, state: "refused", outcome, reply: words }));
    for (const each of onTopOf(entry, all)) {
      await answered(entries.put({ ...each, state: "held", under: entry.key }));
    }
  });
}

// Count a failure that was the server's own.
export function note(entry) {
  return within("readwrite", async (entries) => {
    const fresh = await answered(entries.get(entry.seq));
    if (!fresh) return 0;
    fresh.troubles += 1;
    await answered(entries.put(fresh));
    return fresh.troubles;
  });
}

// The person wants it tried once more, with what was held back for it.
export function again(seq) {
  return within("readwrite", async (entries) => {
    const refused = await answered(entries.get(seq));
    if (!refused) return;
    for (const each of await answered(entries.getAll())) {
      if (each.seq === seq || each.under === refused.key) {
        await answered(entries.put({ ...each, state: "waiting", troubles: 0, under: null }));
      }
    }
  });
}

// The person has taken note: the refused entry goes, and what was held back for it.
export function dismiss(seq) {
  return within("readwrite", async (entries) => {
    const refused = await answered(entries.get(seq));
    if (!refused) return;
    for (const each of await answered(entries.getAll())) {
      if (each.seq === seq || each.under === refused.key) await answered(entries.delete(each.seq));
    }
  });
}

// Forget what a chain came to once a page shows it, or after a week.
export function forgetVersions(isPast) {
  return within("readwrite", async (_entries, versions) => {
    for (const each of await answered(versions.getAll())) {
      if (isPast(each)) await answered(versions.delete([each.person, each.chain]));
    }
  });
}

function onTopOf(entry, all) {
  const found = [];
  let keys = new Set([entry.key]);
  for (const each of all) {
    if (!keys.has(each.behind)) continue;
    found.push(each);
    keys = new Set([...keys, each.key]);
  }
  return found;
}

/* The browser's storage with a memory behind it: what the storage refuses lasts until the page is
   closed. Nothing here throws. */

/**
 * @typedef {Object} Shelf
 * @property {() => boolean} works false while anything lies only in memory
 * @property {(key: string) => string|null} read
 * @property {(key: string, text: string|null) => void} write null takes the key away
 * @property {(key: string) => void} lock this key stays as it is stored; what is written to it lies in memory
 * @property {(start: string) => string[]} keys that begin so, in order
 */

/**
 * @param {string} trial a key to try the storage with; it only stays where it is refused
 * @returns {Shelf}
 */
function openShelf(trial) {
  const refused = new Map();
  const locked = new Set();

  /* Storage that was full may have room again, so whatever it refused is offered once more. */
  function offer() {
    for (const [key, text] of refused) {
      if (locked.has(key)) continue;
      try {
        if (text === null) localStorage.removeItem(key);
        else localStorage.setItem(key, text);
        // Some private windows take everything and keep nothing.
        if (localStorage.getItem(key) !== text) continue;
        refused.delete(key);
        if (key === trial) localStorage.removeItem(trial);
      } catch {
        // Refused or full: it stays in memory, and works() says so.
      }
    }
  }

  function write(key, text) {
    refused.set(key, text);
    offer();
  }

  write(trial, "1");
  return {
    works: () => !refused.size,
    read(key) {
      if (refused.has(key)) return refused.get(key);
      try {
        return localStorage.getItem(key);
      } catch {
        return null;
      }
    },
    write,
    lock: (key) => locked.add(key),
    keys(start) {
      const found = new Set();
      try {
        for (let at = 0; at < localStorage.length; at += 1) found.add(localStorage.key(at));
      } catch {
        found.clear();
      }
      for (const [key, text] of refused) text === null ? found.delete(key) : found.add(key);
      return [...found].filter((key) => key.startsWith(start)).sort();
    },
  };
}

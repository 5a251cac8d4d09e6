/* What is remembered of a learner, on this device only. Every question has a key of its own and is
   read again right before it is written, so that two open tabs take nothing from each other. */

/* The pages' common root, from the address of this script: it holds from a folder, at a root and below one. */
const SITE = new URL("../../", HERE).href;

/** @returns {string} the address of this page below SITE, such as "supply.html" */
function thisPage() {
  const here = location.href.replace(/[?#].*/, "");
  return here.startsWith(SITE) ? here.slice(SITE.length) : "";
}

/**
 * Synchronous; nothing in it throws. What has to do with a file needs the second script.
 * @typedef {Object} Keep
 * @property {boolean} works false: storage is refused or full, and this page's memory is all there is
 * @property {boolean} perFile this browser keeps one store for each file that is opened
 * @property {number} damaged how many stored texts could not be read and were put aside
 * @property {string} learner whose practice this is; "" before anybody gave a name
 * @property {() => string[]} learners
 * @property {(name: string) => string} switchTo begins a learner who is new here; the name as it is kept
 * @property {(name: string) => void} rename the present learner; a name that is taken changes nothing
 * @property {(name: string) => void} remove a learner with all that is kept of them
 * @property {(id: string, was?: string[]) => Result} result
 * @property {(id: string, answer: {kind: string, slip?: string, helped?: boolean}) => void} note
 * @property {(id: string, was?: string[]) => boolean} isDone right without help on two different days
 * @property {() => boolean} isBegun anything was answered at all
 * @property {(id: string) => Typed|null} typed
 * @property {(id: string, typed: Typed|null) => void} saveTyped
 * @property {() => {page: string, question: string, title: string}|null} where
 * @property {(where: {page: string, question: string, title: string}) => void} setWhere
 * @property {(part: string, read: (raw: *) => *, whose?: string) => *} own what else is kept of a learner, such as "code" or
 *   "assignment": null where there is none or `read` gives null
 * @property {(part: string, value: *) => void} setOwn the same of the present learner; null takes it away
 * @property {() => string} exportText the present learner's practice as the text of a file
 * @property {(text: string) => Reading} readText a file's text looked through, nothing taken yet
 * @property {(found: Reading, replace?: boolean) => void} take
 * @property {(text: string, replace?: boolean) => {ok: boolean, says: string}} importText
 * @property {() => void} clear the present learner's practice
 * @property {() => void} dropDamaged
 * @property {(hear: (why: "learner"|"results"|"own"|"storage") => void) => void} onChange
 */

/** @returns {Keep} */
function openKeep() {
  const room = `quizgen/1/${COURSE.id}/`;
  const now = `${room}now`;
  const renamed = Object.entries(COURSE.was || {});
  const shelf = openShelf(`${room}trial`);
  const hearers = new Set();
  let worked = shelf.works();

  const desk = (name) => `${room}of/${encodeURIComponent(name)}/`;
  const mine = (rest) => desk(learner()) + rest;

  function tell(why) {
    for (const hear of hearers) {
      try {
        hear(why);
      } catch (error) {
        // It shows up as an error of the page, and stops nobody else.
        setTimeout(() => { throw error; });
      }
    }
  }

  function write(key, value) {
    shelf.write(key, value === null ? null : JSON.stringify(value));
    if (worked === shelf.works()) return;
    worked = !worked;
    tell("storage");
  }

  /** The value at a key; a text that does not read is put aside and never written over. */
  function stored(key, read) {
    const text = shelf.read(key);
    if (text === null) return null;
    try {
      const value = read(JSON.parse(text));
      if (value !== null) return value;
    } catch {
      // No JSON: damaged like any other value that does not read.
    }
    const aside = `${room}aside/${key.slice(room.length)}`;
    let free = aside;
    for (let at = 2; shelf.read(free) !== null; at += 1) free = `${aside}/${at}`;
    shelf.write(free, text);
    if (shelf.works()) shelf.write(key, null);
    else {
      shelf.write(free, null);
      shelf.lock(key);
      shelf.write(key, null);
    }
    return null;
  }

  function learner() {
    const name = stored(now, (raw) => (typeof raw === "string" ? readName(raw) : null));
    return name === null ? "" : name;
  }

  function learners() {
    const names = new Set([learner()]);
    for (const key of shelf.keys(`${room}of/`)) {
      try {
        names.add(decodeURIComponent(key.slice(room.length + 3).split("/")[0]));
      } catch {
        // Not written by us; it stays.
      }
    }
    return [...names].sort((a, b) => a.localeCompare(b));
  }

  /** The name as somebody here already has it: "ann" is Ann. */
  function known(name) {
    const plain = readName(name);
    return learners().find((one) => one.toLowerCase() === plain.toLowerCase()) || plain;
  }

  function switchTo(name) {
    const next = known(name);
    write(now, next);
    if (next) write(`${desk(next)}name`, next);
    renamed.forEach(([old, id]) => carry(old, id));
    tell("learner");
    return next;
  }

  function rename(name) {
    const next = readName(name);
    if (!next || learners().includes(known(next))) return;
    const old = desk(learner());
    for (const key of shelf.keys(old)) {
      const text = shelf.read(key);
      shelf.write(key, null);
      shelf.write(desk(next) + key.slice(old.length), text);
    }
    switchTo(next);
  }

  function remove(name) {
    shelf.keys(desk(name)).forEach((key) => write(key, null));
    if (name === learner()) write(now, learners().find((one) => one !== name) || "");
    tell("learner");
  }

  /** What is kept under a question's old id moves to its new one. */
  function carry(old, id) {
    const kept = stored(mine(`result/${old}`), readResult);
    if (kept) {
      const newer = stored(mine(`result/${id}`), readResult);
      write(mine(`result/${id}`), newer ? joinResults(newer, kept) : kept);
      write(mine(`result/${old}`), null);
    }
    const typed = stored(mine(`typed/${old}`), readTyped);
    if (typed) {
      if (shelf.read(mine(`typed/${id}`)) === null) write(mine(`typed/${id}`), typed);
      write(mine(`typed/${old}`), null);
    }
  }

  function result(id, was) {
    for (const old of was || []) carry(old, id);
    return stored(mine(`result/${id}`), readResult) || readResult({});
  }

  function under(part, read) {
    const start = mine(`${part}/`);
    const found = shelf.keys(start).map((key) => [key.slice(start.length), stored(key, read)]);
    return Object.fromEntries(found.filter(([id, value]) => isQuestionId(id) && value));
  }

  const kept = (part) => stored(mine(part), (raw) => raw);
  const practice = () => ({
    learner: learner(),
    results: under("result", readResult),
    typed: under("typed", readTyped),
    where: stored(mine("where"), readWhere),
    code: kept("code"),
    assignment: kept("assignment"),
  });

  function clear() {
    for (const part of ["result/", "typed/", "where"]) shelf.keys(mine(part)).forEach((key) => write(key, null));
    tell("results");
  }

  function take(found, replace) {
    if (replace) clear();
    for (const [id, other] of Object.entries(found.results)) {
      const own = stored(mine(`result/${id}`), readResult);
      write(mine(`result/${id}`), own ? joinResults(own, other) : other);
    }
    for (const [id, typed] of Object.entries(found.typed)) {
      if (shelf.read(mine(`typed/${id}`)) === null) write(mine(`typed/${id}`), typed);
    }
    more.ownTaken(found, kept, replace).forEach(([part, value]) => write(mine(part), value));
    if (found.where && !stored(mine("where"), readWhere)) write(mine("where"), found.where);
    renamed.forEach(([old, id]) => carry(old, id));
    tell("learner");
  }

  // Another tab wrote; a key of null says that it emptied everything.
  window.addEventListener("storage", ({ key }) => {
    if (key === null || key === now) tell("learner");
    else if (key.startsWith(mine("result/"))) tell("results");
    else if (key.startsWith(`${room}of/`) && key.endsWith("/name")) tell("learner");
  });
  // A page that Back brings out of the browser's memory has missed what happened since.
  window.addEventListener("pageshow", ({ persisted }) => {
    if (persisted) tell("learner");
  });
  renamed.forEach(([old, id]) => carry(old, id));

  return {
    get works() { return shelf.works(); },
    get learner() { return learner(); },
    get damaged() { return shelf.keys(`${room}aside/`).length; },
    // Firefox and its kin; nothing but the name of a property of theirs tells it.
    perFile: location.protocol === "file:" && CSS.supports("-moz-appearance", "none"),
    learners,
    switchTo,
    rename,
    remove,
    result,
    note(id, answer) {
      write(mine(`result/${id}`), withAnswer(result(id), answer));
      tell("results");
    },
    isDone: (id, was) => result(id, was).days.length >= DAYS_TO_BE_DONE,
    isBegun: () => Object.values(under("result", readResult)).some(({ tries }) => tries),
    typed: (id) => stored(mine(`typed/${id}`), readTyped),
    saveTyped: (id, typed) => write(mine(`typed/${id}`), typed && readTyped(typed)),
    where: () => stored(mine("where"), readWhere),
    setWhere: (where) => write(mine("where"), readWhere(where)),
    own: (part, read, whose = learner()) => stored(desk(whose) + part, read),
    setOwn(part, value) {
      write(mine(part), value);
      tell("own");
    },
    exportText: () => more.practiceText(practice()),
    readText: (text) => more.readPractice(text),
    take,
    importText(text, replace) {
      const found = more.readPractice(text);
      if (found.ok) take(found, replace);
      return { ok: found.ok, says: found.says };
    },
    clear,
    dropDamaged() {
      shelf.keys(`${room}aside/`).forEach((key) => write(key, null));
      tell("storage");
    },
    onChange: (hear) => hearers.add(hear),
  };
}

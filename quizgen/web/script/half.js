/* A case that was left half played, on this device: what was done, never what it led to. That is worked out
   again, so whatever is stored can only be a game that could have been played. */

const halfOf = ({ id }) => `case-${id}`;

function saveHalf({ data, fault, decisions, marks, early, slips }) {
  keep.saveTyped(halfOf(data), {
    variant: data.suspects[fault].id, checked: { done: decisions.map(({ action }) => action), marks, early: [...early], slips },
  });
}

/** @returns {Object|null} what `openCase` goes on from; null where nothing is kept, or nothing that could be played */
function readHalf(data) {
  const kept = keep.typed(halfOf(data));
  const fault = kept ? data.suspects.findIndex(({ id }) => id === kept.variant) : -1;
  if (fault < 0 || !isObject(kept.checked)) return null;
  const { done, marks, early, slips } = kept.checked;
  if (!Array.isArray(done) || done.length > 100 || !isObject(marks) || !Array.isArray(early) || !isCount(slips)) return null;
  let standing = firstStanding(data);
  let failed = false;
  for (const action of done) {
    const isolate = action === ISOLATE;
    if (isolate ? standing.dead || failed : !testOf(data, action) || unsafeNow(data, standing, action)) return null;
    standing = afterAction(data, standing, action).find(({ suspects }) => suspects >> fault & 1);
    failed = failed || (isolate && !standing.dead);
  }
  const parts = Object.keys(data.parts);
  return {
    fault, done, slips, early: parts.filter((part) => early.includes(part)),
    marks: Object.fromEntries(parts.filter((part) => MARKS.includes(marks[part])).map((part) => [part, marks[part]])),
  };
}

/* Isolating, locking and proving dead as steps that have their order. */

/** Words of case_words.py, once on a page. */
const WORDS = JSON.parse(document.querySelector("template.qz-case-words").content.firstChild.data);

function showIsolating(play) {
  const { isolating } = play;
  // Another order each time: the steps are to be known, not their places.
  play.shown = isolating.length ? play.shown : WORDS.steps.map((_, at) => [Math.random(), at]).sort((a, b) => a[0] - b[0]).map(([, at]) => at);
  const button = (at) => make("li", {}, make("button", { type: "button", "data-step": at, click: () => isolateStep(play, at) }, WORDS.steps[at][0]));
  play.here.textContent = "Isolate: press the steps in their order";
  play.work.replaceChildren(
    make("ol", {}, ...isolating.map((at) => make("li", {}, WORDS.steps[at][0]))),
    make("ul", { class: "qz-trace-tests" }, ...play.shown.filter((at) => !isolating.includes(at)).map(button)),
    make("button", { type: "button", "data-act": "back", click: () => { play.isolating = null; showWork(play); lookAt(play.here); } }, "Not now"),
  );
}

function isolateStep(play, at) {
  const { isolating, data, fault, said } = play;
  if (at !== isolating.length) {
    play.slips += 1;
    saveHalf(play);
    announce(said, [make("p", {}, make("b", {}, "Not yet. "), WORDS.steps[at][1])]);
    return;
  }
  isolating.push(at);
  if (isolating.length === WORDS.steps.length || (at === WORDS.pairs && data.suspects[fault].still_live)) {
    play.isolating = null;
    doAction(play, ISOLATE);
    lookAt(play.here);
  } else {
    announce(said, [make("p", {}, at === WORDS.pairs ? "0\u00a0V on every pair." : "Done. Next step.")]);
    showIsolating(play);
    // No scrolling here: the steps stay where the thumb is.
    play.here.focus({ preventScroll: true });
  }
}

/* The last fragment: starts the questions and the panel of a page, each once. */

const started = new WeakSet();
const keep = openKeep();

function start() {
  for (const section of document.querySelectorAll("section.qz")) {
    if (started.has(section)) continue;
    started.add(section);
    attempt(() => startPractice(section, keep));
  }
  attempt(() => startPanel(keep));
  attempt(() => startTerms(document));
  attempt(wantExtras);
}

if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start);
else start();
// The theme can put a new page into this one without loading it; it says so here where it can do that.
if (window.document$) window.document$.subscribe(start);

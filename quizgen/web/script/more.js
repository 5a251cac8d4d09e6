/* The second script: what a page wants only once somebody works on it. It is asked for on first use, by
   its address beside this script, and hands over its functions here: `more.check` is `check` there. */

const HERE = (document.currentScript && document.currentScript.src) || document.baseURI;

let more = null;
let coming = null;
let failed = false;
const wanting = [];

/**
 * Does `act` with the second script, at once where it is here already.
 * @param {() => void} act
 * @param {HTMLElement} [region] a live region that is busy meanwhile and says so where it fails;
 *   what has none is not tried again
 */
function withMore(act, region) {
  if (more) {
    act();
    return;
  }
  if (region) region.setAttribute("aria-busy", "true");
  else if (failed) return;
  wanting.push([act, region]);
  if (coming) return;
  coming = make("script", { src: new URL(MORE, HERE).href, load: arrived, error: arrived });
  // The second script finds its own element and calls this.
  coming.handOver = (build) => { more = build(shared()); };
  document.head.append(coming);
}

/** Whoever was waiting goes on; without the script each place says so, and the next press tries again. */
function arrived() {
  coming.remove();
  failed = !more;
  coming = null;
  for (const [act, region] of wanting.splice(0)) {
    if (region) region.removeAttribute("aria-busy");
    if (more) attempt(act);
    else if (region) {
      announce(region, [make("p", {}, "A part of this page could not be loaded, so this does not work now. What you typed is kept. "
        + "Press again; if that does not help, the copy of the course is not complete.")]);
    }
  }
}

/** A part that breaks shows up as an error of the page and leaves the others alone. */
function attempt(begin) {
  try {
    begin();
  } catch (error) {
    setTimeout(() => { throw error; });
  }
}

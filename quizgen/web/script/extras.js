/* What only some pages need, such as fault tracing, has a script of its own, asked for where a page holds it. */

const asked = new Set();

/** EXTRAS: what to look for on the page, and the script that comes for it. */
function wantExtras() {
  for (const [found, name] of Object.entries(EXTRAS)) {
    if (asked.has(name) || !document.querySelector(found)) continue;
    asked.add(name);
    const script = make("script", { src: new URL(name, HERE).href });
    script.handOver = (build) => build(shared());
    document.head.append(script);
  }
}

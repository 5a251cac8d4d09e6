// Terms with their meaning: Escape closes an open one, and none leaves the window at its edge.

const termsStarted = new WeakSet();

function startTerms(root) {
  for (const term of root.querySelectorAll(".qz-term")) {
    if (termsStarted.has(term)) continue;
    termsStarted.add(term);
    const meaning = term.querySelector(".qz-meaning");
    const place = () => {
      term.classList.remove("qz-closed");
      meaning.style.marginInlineStart = "";
      const over = meaning.getBoundingClientRect().right - document.documentElement.clientWidth + 8;
      if (over > 0) meaning.style.marginInlineStart = -over + "px";
    };
    term.addEventListener("mouseenter", place);
    term.addEventListener("focus", place);
    term.addEventListener("keydown", (event) => {
      if (event.key === "Escape") term.classList.add("qz-closed");
    });
  }
}

document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  for (const term of document.querySelectorAll(".qz-term:hover")) term.classList.add("qz-closed");
});

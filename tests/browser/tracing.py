"""Plays cases of fault tracing inside the page, as quick as the page itself, and reads what it says at the end."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from quizgen.tracing import after, done, regret, start
from quizgen.tracing.play import ISOLATE, Standing, minutes

Case = dict[str, Any]

# Every act is a press on what a learner presses; nothing of the page's script is called by name.
PLAY = """({ id, acts, part, proof }) => {
  const section = document.getElementById(`case-${id}`);
  const find = (what) => section.querySelector(`.qz-trace ${what}`);
  for (const act of acts) {
    if (act === "isolate") {
      find('[data-test="isolate"]').click();
      for (let step = 0, button; (button = find(`[data-step="${step}"]`)); step += 1) button.click();
    } else if (act === "stop" || act === "again") find(`[data-act="${act}"]`).click();
    else {
      if (!find(`[data-test="${act}"]`)) find(".qz-trace-all").click();
      find(`[data-test="${act}"]`).click();
    }
  }
  if (part) {
    find("[data-pick=part]").value = part;
    find("[data-pick=proof]").value = proof;
    find("[data-act=name]").click();
  }
  return {
    says: find("").innerText, lost: Number(find("").dataset.lost), paid: Number(find("").dataset.paid),
    regrets: [...section.querySelectorAll("[data-regret]")].map((one) => one.dataset.regret),
    log: section.querySelectorAll(".qz-trace-log > li").length,
  };
}""".replace('find("")', 'section.querySelector(".qz-trace")')
OPEN = """(which) => Promise.all([...document.querySelectorAll(`${which} details.qz-case-desk`)].map((board) => {
  const ready = new Promise((done) => board.addEventListener("toggle", done, { once: true }));
  board.open = true;
  return ready;
}))"""


def open_vans(page, address: str, id: str = "") -> None:
    """The van of one case is taken, or of each on the page."""
    page.goto(address)
    page.locator("section.qz-case[data-ready]").first.wait_for()
    page.evaluate(OPEN, f"#case-{id}" if id else "section[data-question]")


def play(page, id: str, acts: list[str], part: str = "", proof: str = "") -> dict[str, Any]:
    return page.evaluate(PLAY, {"id": id, "acts": acts, "part": part, "proof": proof})


def true_part(case: Case) -> str:
    return next(suspect["part"] for suspect in case["suspects"] if suspect["id"] == case["fault"])


def followed(case: Case, first: list[str]) -> tuple[list[str], list[float], float, Standing]:
    """These acts and then the best order, by the model: acts, what each loses, minutes, where it ends."""
    true = [suspect["id"] for suspect in case["suspects"]].index(case["fault"])
    standing, waiting = start(case), list(first)
    acts: list[str] = []
    lost: list[float] = []
    paid = 0.0
    while not done(case, standing):
        act = waiting.pop(0) if waiting else case["values"][standing.key()][1]
        acts.append(act)
        paid += minutes(case, standing, act)
        lost.append(regret(case, standing, act))
        standing = next(one for one in after(case, standing, act) if one.suspects >> true & 1)
        if act == ISOLATE and not standing.dead:
            break
    return acts, lost, paid, standing


def words(value: float) -> str:
    """Minutes as the page writes them: to a tenth, half up."""
    tenth = Decimal(str(round(value, 6))).quantize(Decimal("0.1"), ROUND_HALF_UP)
    return f"{int(tenth) if tenth == int(tenth) else tenth}\u00a0min"

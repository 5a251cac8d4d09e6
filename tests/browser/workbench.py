"""The workbench course opened as a learner meets it, with the truth beside it."""

import json
from functools import cache
from pathlib import Path

from quizgen.bank.load import load_bank
from quizgen.variants.compile import compile_question, shown_answers, shown_givens

FOLDER = Path(__file__).parents[1] / "courses" / "workbench"

HEARD = """
window.heard = [];
new MutationObserver((changes) => {
  const regions = new Set(changes.map(({ target }) => (
    target.nodeType === 1 ? target : target.parentElement)?.closest("[role=status], [role=log]")));
  for (const region of regions) {
    if (!region || region.getAttribute("aria-live") === "off" || !region.textContent) continue;
    window.heard.push(region.textContent);
  }
}).observe(document, { childList: true, characterData: true, subtree: true });
"""
"""Collects what live regions say."""


@cache
def compiled(id):
    bank = load_bank(FOLDER)
    return compile_question(bank, bank.questions[id])[0]


def answers(id, at=0):
    """The right answers of a set as shown, in the order of the steps."""
    question = compiled(id)
    return list(shown_answers(question, question["variants"][at]).values())


def givens(id, at=0):
    question = compiled(id)
    return list(shown_givens(question, question["variants"][at]).values())


def number(shown):
    """The number of an answer without its unit, as a keyboard types it."""
    return shown.split("\u00a0")[0].replace("\u202f", "")


def question(page, id):
    return page.locator(f"#q-{id}")


def boxes(page, id):
    return question(page, id).locator(".qz-entry input")


def type_in(page, id, text, step=0, enter=True):
    """Types into a step's box with the keyboard, over what stands there."""
    box = boxes(page, id).nth(step)
    box.click()
    page.keyboard.press("Control+A")
    page.keyboard.type(text) if text else page.keyboard.press("Delete")
    if enter:
        page.keyboard.press("Enter")
    settled(page)


def press(page, id, name):
    question(page, id).get_by_role("button", name=name, exact=True).click()
    settled(page)


def settled(page):
    """Until the second script is here, where it is on its way: its element leaves when it has come."""
    page.wait_for_function("""!document.querySelector("[aria-busy=true], script[src*='quizgen/more.']")""")


def says(page, id, step=0):
    """What stands below a step, once it stands there."""
    region = question(page, id).locator(".qz-says").nth(step)
    region.locator("p").first.wait_for()
    return " ".join(region.inner_text().replace("\u00a0", " ").replace("\u202f", " ").split())


def heard(page):
    """What the live regions said since the last call."""
    page.wait_for_function("window.heard.length")
    return page.evaluate("window.heard.splice(0)")


def result(page, id):
    """What is kept of a question."""
    text = page.evaluate("id => localStorage.getItem(`quizgen/1/workbench/of//result/${id}`)", id)
    return json.loads(text) if text else None

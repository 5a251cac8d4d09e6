"""What the page's script gets of a question: versioned plain data, as small as it can be.

Keys are not in it where a program computes them from the givens; the tests prove that the page's
values equal the checked ones. In a static page an answer can be hidden, not protected: practice is
for learning, papers are for proof.
"""

from __future__ import annotations

import json
from typing import Any

from quizgen.expression.linear import symbol_text
from quizgen.variants.compile import VERSION, Compiled
from quizgen.web.question_html import shuffled


def template_html(compiled: Compiled) -> str:
    """What stands in the question's template: one text node of data, then its formulas as MathML.

    The data count the formulas from 0 ("math"), so that the script clones elements and parses no markup.
    """
    data = payload(compiled)
    formulas: list[str] = []
    for step in data.get("steps", ()):
        for entry in step["worked"]:
            # Conditions are shown as the line they are.
            entry.pop("when_math", None)
            if "math" in entry:
                formulas.append(entry["math"])
                entry["math"] = len(formulas) - 1
    return in_html(data) + "".join(formulas)


def payload(compiled: Compiled) -> dict[str, Any]:
    """The question's data for the page; see `variants.compile` for the meaning of the fields."""
    made: dict[str, Any] = {"v": VERSION, "id": compiled["id"], "kind": compiled["kind"]}
    if compiled["was"]:
        made["was"] = compiled["was"]
    if compiled["kind"] == "choice":
        order = shuffled(compiled["id"], len(compiled["options"]))
        made["options"] = [[int(o["right"]), o["says"]] for o in (compiled["options"][at] for at in order)]
        made["several"] = compiled["several"]
        return made
    if compiled["kind"] == "order":
        made["order"] = shuffled(compiled["id"], len(compiled["order"]))
        made["either"], made["says"] = compiled["either_way"], compiled["order_says"]
        made["right"] = compiled["right_says"]
        return made
    made["givens"] = [
        [given["id"], given["symbol"], given["unit"], given["factor"], int(given["words"])]
        for given in compiled["givens"]
    ]
    made["steps"] = [_step(step) for step in compiled["steps"]]
    made["variants"] = [_variant(compiled, variant) for variant in compiled["variants"]]
    if "options" in compiled:
        made["options"] = compiled["options"]
    return made


def _step(step: Compiled) -> dict[str, Any]:
    kept = ("find", "unit", "factor", "dimension", "rounding", "key", "slips", "general", "between")
    made = {name: step[name] for name in kept if step[name] not in (None, [])}
    # What the lines of the worked solution begin with: name, symbol as it is written, title of the law.
    made |= {"name": step["name"], "symbol": symbol_text(step["symbol"]), "law": step["title"]}
    made["worked"] = [dict(entry) for entry in step["worked"]]
    if step["unit_asked"]:
        made["unit_asked"] = True
    return made


def _variant(compiled: Compiled, variant: Compiled) -> list[Any]:
    """[name, givens, per step a tolerance, or [key or word, tolerance] where no program gives the key]."""
    answers: list[Any] = []
    for step, answer in zip(compiled["steps"], variant["answers"], strict=True):
        if "word" in answer:
            answers.append([answer["word"]])
        elif step["key"] is None:
            answers.append([answer["key"], answer["tolerance"]])
        else:
            answers.append(answer["tolerance"])
    made = [variant["name"], variant["given"], answers]
    return [*made, variant["slips"]] if "slips" in variant else made


def in_html(data: object) -> str:
    """JSON that can stand in any HTML element: no <, > or & in it, and one line."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), sort_keys=False)
    for character in "<>&\u2028\u2029":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return text

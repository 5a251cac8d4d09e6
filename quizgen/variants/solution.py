"""The worked solution of a step as data: the law in symbols, then with the numbers filled in.

A filled line is a list of texts and `{"q": id}` for a quantity, which is written as printed (given)
or as answered (earlier step), with its unit. So the page can fill in a learner's own numbers.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from quizgen.expression.linear import equation_line, linear, symbol_text
from quizgen.expression.mathml import equation_mathml, mathml
from quizgen.expression.program import Program, program
from quizgen.expression.tree import Equation, Expression
from quizgen.expression.writing import spaced
from quizgen.variants.laws import Law

Tokens = list[Any]
OPERATORS = ("+", "\u2212", "·", "/", "^")
_MARK = re.compile("\x01(\\w+)\x02")


def filled(tree: Expression, units: Mapping[str, str]) -> Tokens:
    """The tree in one line, with slots for its names; `units` gives the unit each is shown in."""
    text = linear(tree, lambda id: f"\x01{id}\x02", lambda id: units.get(id, ""))
    return [{"q": part} if index % 2 else part for index, part in enumerate(_MARK.split(text)) if part]


def worked(law: Law, units: Mapping[str, str]) -> list[dict[str, Any]]:
    """One entry per case (one for a plain form or a table); `units` are those that quantities are shown in.

    Keys: "when" (program, cases only), "when_math", "line" and "math" (the law in symbols), "filled",
    and "word" where the case gives a word.
    """
    symbols = dict(law.symbols)
    if law.form is not None:
        return [_entry(law.form, symbols, units)]
    if law.table is not None:
        rows = "the row with exactly this value"
        if law.table.read == "next row up":
            rows = "the next row up"
        elif law.table.read == "between rows":
            rows = "between the two rows"
        parts: Tokens = [f"read {rows}, "]
        for index, quantity in enumerate(law.inputs):
            parts += [", "] if index else []
            parts += [f"{quantity.name} ", {"q": quantity.id}]
        return [{"line": law.title, "filled": parts}]
    made = []
    for case in law.cases:
        if isinstance(case.then, str):
            entry: dict[str, Any] = {"line": case.then, "word": case.then, "filled": []}
        else:
            entry = _entry(case.then, symbols, units)
        entry["when"] = program(case.when)
        entry["when_line"] = linear(case.when, lambda id: symbol_text(symbols.get(id, id)))
        entry["when_math"] = mathml(case.when, symbols)
        made.append(entry)
    return made


def _entry(form: Equation, symbols: dict[str, str], units: Mapping[str, str]) -> dict[str, Any]:
    return {
        "line": equation_line(form, symbols),
        "math": equation_mathml(form, symbols, display=True),
        "filled": filled(form.right, units),
    }


def key_program(law: Law) -> Program | list[dict[str, Any]] | None:
    """What the page computes a key with: a program, or [{"when", "then" | "word"}] for cases, None for tables."""
    if law.form is not None:
        return program(law.form.right)
    if law.table is not None:
        return None
    return [
        {"when": program(c.when), "word": c.then}
        if isinstance(c.then, str)
        else {"when": program(c.when), "then": program(c.then.right)}
        for c in law.cases
    ]


def fill(tokens: Tokens, shown: dict[str, str]) -> str:
    """The line with every slot replaced by its quantity as shown; a negative one after an operator gets brackets."""
    made = ""
    for part in tokens:
        text = shown[part["q"]] if isinstance(part, dict) else part
        bracketed = isinstance(part, dict) and text.startswith("\u2212") and made.rstrip().endswith(OPERATORS)
        made += f"({text})" if bracketed else text
    return made


_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def shown_number(text: str) -> str:
    """A printed number with its groups of three, words unchanged."""
    return spaced(text) if _NUMBER.fullmatch(text) else text

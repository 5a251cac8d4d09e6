"""A compiled question as HTML: complete without a script, for print and for readers.

The first variant stands in the text. No key, slip or tolerance gets in here: the page's content is
what search engines and screen readers see. The payload for the script comes in later (`payload.py`).
"""

from __future__ import annotations

from html import escape
from typing import Any

from quizgen.expression.linear import symbol_parts
from quizgen.variants.compile import Compiled, shown_givens
from quizgen.variants.mixer import key_of, mixed


def question_html(compiled: Compiled, number: int) -> str:
    """The question as a section with entry fields. `number` counts on its page, from 1."""
    id = escape(compiled["id"])
    inner = {"choice": _choice, "order": _order}.get(compiled["kind"], _calculation)(compiled)
    return (
        f'<section class="qz" id="q-{id}" data-question="{id}" data-kind="{compiled["kind"]}" '
        f'data-module="{escape(compiled["module"])}" '
        f'aria-labelledby="q-{id}-label">'
        f'<p class="qz-label" id="q-{id}-label">Question {number}<span class="qz-done"></span></p>'
        f'<div class="qz-body">{inner}</div>'
        f'<div class="qz-acts"></div>'
        f'<template class="qz-data"></template></section>'
    )


def text_html(tokens: list[Any], shown: dict[str, str], symbols: dict[str, str]) -> str:
    """A text with its slots filled; each slot is marked so that the script can change its number."""
    made = ""
    for part in tokens:
        if isinstance(part, str):
            made += escape(part)
            continue
        id = part["given"]
        named = f"{symbol_html(symbols[id])}&nbsp;=&nbsp;" if part["named"] else ""
        made += f'<b class="qz-given" data-given="{escape(id)}">{named}<span>{escape(shown[id])}</span></b>'
    return made


def symbol_html(symbol: str) -> str:
    """A symbol with its subscript: U<sub>LL</sub>."""
    base, sub = symbol_parts(symbol)
    return f"<i>{escape(base)}</i>" + (f"<sub>{escape(sub)}</sub>" if sub else "")


def _calculation(compiled: Compiled) -> str:
    variant = compiled["variants"][0]
    shown = shown_givens(compiled, variant)
    symbols = {given["id"]: given["symbol"] for given in compiled["givens"]}
    made = f'<p class="qz-text">{text_html(compiled["text"], shown, symbols)}</p>'
    for index, step in enumerate(compiled["steps"]):
        ask = text_html(step["ask"], shown, symbols)
        if "options" in compiled and index == len(compiled["steps"]) - 1:
            made += _choices(compiled["id"], ask, compiled["options"], "radio")
        else:
            made += _entry(compiled, index, ask)
    return made


def _entry(compiled: Compiled, index: int, ask: str) -> str:
    step, id = compiled["steps"][index], f"q-{escape(compiled['id'])}-{index}"
    several = len(compiled["steps"]) > 1
    mark = f'<span class="qz-step">{index + 1}</span> ' if several else ""
    # Without units the learner's own unit counts; the unit stays beside the box, as a reminder only.
    unit = "" if step["unit_asked"] else f'<span class="qz-unit" id="{id}-unit">{escape(step["unit"])}</span>'
    described = f"{id}-read" + ("" if step["unit_asked"] or not step["unit"] else f" {id}-unit")
    return (
        f'<div class="qz-entry" data-step="{index}">'
        f'<label for="{id}">{mark}{ask} <span class="qz-as">{escape(asked_for(step))}</span></label>'
        f'<span class="qz-line"><span class="qz-symbol">{symbol_html(step["symbol"])}&nbsp;=</span>'
        f'<input id="{id}" type="text" autocomplete="off" autocapitalize="off" spellcheck="false" '
        f'aria-describedby="{described}">{unit}<span class="qz-read" id="{id}-read"></span></span>'
        f'<div class="qz-says" role="status" aria-live="polite" aria-atomic="true"></div></div>'
    )


def asked_for(step: Compiled) -> str:
    """How the answer is wanted, in words."""
    rounding = step["rounding"]
    if step["words"]:
        return ""
    if "figures" in rounding:
        how = f"{rounding['figures']} figures"
    elif rounding["step"] == "1":
        how = "whole number"
    else:
        how = f"to {rounding['step']}" + (f" {step['unit']}" if step["unit"] else "")
    return f"({how}, with its unit)" if step["unit_asked"] else f"({how})"


def _choice(compiled: Compiled) -> str:
    options = [compiled["options"][at]["option"] for at in shuffled(compiled["id"], len(compiled["options"]))]
    made = f'<p class="qz-text">{text_html(compiled["text"], {}, {})}</p>'
    legend = "Choose all that are right." if compiled["several"] else "Choose one."
    return made + _choices(compiled["id"], legend, options, "checkbox" if compiled["several"] else "radio")


def _choices(id: str, legend: str, options: list[str], type: str) -> str:
    rows = "".join(
        f'<label class="qz-option">'
        f'<input type="{type}" name="q-{escape(id)}" value="{at}" autocomplete="off">'
        f"<span>{escape(option)}</span></label>"
        for at, option in enumerate(options)
    )
    return (
        f'<fieldset class="qz-options"><legend>{legend}</legend>{rows}</fieldset>'
        f'<div class="qz-says" role="status" aria-live="polite" aria-atomic="true"></div>'
    )


def _order(compiled: Compiled) -> str:
    steps = [compiled["order"][at] for at in shuffled(compiled["id"], len(compiled["order"]))]
    rows = "".join(
        f'<li class="qz-place" data-at="{at}"><span class="qz-rank"></span>'
        f'<span class="qz-move">{escape(step)}</span></li>'
        for at, step in enumerate(steps)
    )
    return (
        f'<p class="qz-text">{text_html(compiled["text"], {}, {})}</p>'
        f'<ol class="qz-order" id="q-{escape(compiled["id"])}-order">{rows}</ol>'
        f'<div class="qz-says" role="status" aria-live="polite" aria-atomic="true"></div>'
    )


def shuffled(id: str, count: int, attempt: int = 0) -> list[int]:
    """A fixed mixed order of 0 … count-1 that is never the given order itself (for two or more)."""
    key = key_of("order", id)
    order = sorted(range(count), key=lambda at: mixed(key, attempt * 64 + at))
    if count > 1 and order == list(range(count)):
        return shuffled(id, count, attempt + 1)
    return order

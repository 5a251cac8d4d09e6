"""A worked example as HTML: each step with its law in symbols, the numbers filled in, and the result."""

from __future__ import annotations

from html import escape

from quizgen.variants.example import Example, WorkedStep
from quizgen.web.question_html import symbol_html


def example_html(example: Example) -> str:
    """The steps of an example, in order."""
    steps = "".join(_step(step) for step in example.steps)
    return f'<ol class="qz-worked">{steps}</ol>'


def _step(step: WorkedStep) -> str:
    law = step.math or f"<p>{escape(step.line)}</p>"
    symbol = step.result.partition(" = ")[0]
    filled = f"{symbol} = {step.filled}" if step.math else step.filled
    # A law that is a constant says its result at once: nothing is filled in, nothing is repeated.
    lines = [("qz-filled", filled)] if filled != step.result else []
    if step.line != step.result:
        lines.append(("qz-result", step.result))
    shown = "".join(f'<p class="{kind}">{_equation(line)}</p>' for kind, line in lines)
    return f"<li><p>{escape(_sentence(step.name))}: {escape(step.title)}</p>{law}{shown}</li>"


def _equation(line: str) -> str:
    """The line with the symbol before its sign lowered where it has an index, as everywhere else."""
    symbol, sign, rest = line.partition(" = ")
    return symbol_html(symbol) + escape(sign + rest) if sign and " " not in symbol else escape(line)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]

"""A worked example as HTML: each step with its law in symbols, the numbers filled in, and the result."""

from __future__ import annotations

from html import escape

from quizgen.variants.example import Example, WorkedStep


def example_html(example: Example) -> str:
    """The steps of an example, in order."""
    steps = "".join(_step(step) for step in example.steps)
    return f'<ol class="qz-worked">{steps}</ol>'


def _step(step: WorkedStep) -> str:
    law = step.math or f"<p>{escape(step.line)}</p>"
    result = "" if step.filled.endswith(step.result) else f'<p class="qz-result">{escape(step.result)}</p>'
    symbol = step.result.partition(" = ")[0]
    start = f"{symbol} = " if step.math else ""
    filled = f'<p class="qz-filled">{escape(start + step.filled)}</p>' if step.filled else ""
    return f"<li><p>{escape(_sentence(step.name))}: {escape(step.title)}</p>{law}{filled}{result}</li>"


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:]

"""A tree as text of the language again, with brackets wherever two operations meet.

What is written here is parsed to the same tree (but for offsets): an issued paper keeps its laws as text.
"""

from __future__ import annotations

from quizgen.expression.tree import (
    Binary,
    Call,
    Chain,
    Constant,
    Expression,
    Logic,
    Measure,
    Name,
    Negative,
    Number,
)


def source(tree: Expression) -> str:
    """The tree as one line that `parse` or `parse_condition` reads."""
    match tree:
        case Number(text=text):
            return text
        case Measure(text=text, unit=unit):
            return f"{text} {unit.text}".rstrip()
        case Name(id=id) | Constant(id=id):
            return id
        case Negative(of=of):
            return f"-{_inner(of)}"
        case Binary(op=op, left=left, right=right):
            return f"{_inner(left)} {op} {_inner(right)}"
        case Call(function=function, arguments=arguments):
            return f"{function}({', '.join(map(source, arguments))})"
        case Chain(terms=terms, signs=signs):
            made = source(terms[0])
            for sign, term in zip(signs, terms[1:], strict=True):
                made += f" {sign} {source(term)}"
            return made
        case Logic(op=op, parts=parts):
            return f" {op} ".join(f"({source(p)})" if isinstance(p, Logic) else source(p) for p in parts)


def _inner(tree: Expression) -> str:
    """An operand: in brackets unless it is a single thing."""
    text = source(tree)
    return f"({text})" if isinstance(tree, Binary | Negative | Chain | Logic) else text

"""Reference parts: formulas, tables and symbols as HTML."""

from __future__ import annotations

from html import escape

from quizgen.bank.models import Bank, Citation, Formula, Quantity, Table
from quizgen.bank.read_questions import law_letters
from quizgen.expression.linear import equation_line, linear, symbol_text
from quizgen.expression.mathml import equation_mathml, mathml
from quizgen.expression.tree import Equation
from quizgen.expression.writing import spaced, with_unit
from quizgen.web.question_html import symbol_html


def formula_html(bank: Bank, formula: Formula) -> str:
    """One formula: its forms or cases, what the letters mean, when it holds, and where it comes from."""
    symbols = {q.id: q.symbol for q in bank.quantities.values()}
    made = '<div class="qz-formula">'
    if formula.cases:
        made += _cases(formula, symbols)
    for index, form in enumerate(formula.forms):
        kind = "qz-stated" if index < formula.stated else "qz-solved"
        made += f'<div class="{kind}">{equation_mathml(form, symbols, display=True)}</div>'
    made += _letters(bank, law_letters(bank.formulas, bank.tables, formula.id))
    if formula.holds_for:
        made += f"<p>Holds for: {escape(formula.holds_for)}.</p>"
    return made + citations_html(bank, formula.citations) + "</div>"


def _cases(formula: Formula, symbols: dict[str, str]) -> str:
    rows = ""
    for case in formula.cases:
        then = equation_mathml(case.then, symbols) if isinstance(case.then, Equation) else escape(case.then)
        rows += f"<tr><td>{mathml(case.when, symbols)}</td><td>{then}</td></tr>"
    heads = "<tr><th>Where</th><th>Then</th></tr>"
    table = f'<table class="qz-cases"><thead>{heads}</thead><tbody>{rows}</tbody></table>'
    return f'<div class="qz-scroll">{table}</div>'


def _letters(bank: Bank, ids: tuple[str, ...]) -> str:
    items = "".join(f"<li>{_meaning(bank.quantities[id])}</li>" for id in ids)
    return f'<ul class="qz-letters">{items}</ul>'


def _meaning(quantity: Quantity) -> str:
    unit = f" in {escape(quantity.unit.text)}" if quantity.unit.text else ""
    return f"{symbol_html(quantity.symbol)} {escape(quantity.name)}{unit}"


def table_html(bank: Bank, table: Table) -> str:
    """One table with its heads, how it is read, and where it comes from."""
    columns = [bank.quantities[id] for id in (*table.inputs, table.output)]
    heads = "".join(f"<th>{_meaning(quantity)}</th>" for quantity in columns)
    rows = "".join("<tr>" + "".join(f"<td>{escape(cell)}</td>" for cell in row) + "</tr>" for row in table.rows)
    how = {
        "equal row": "Read the row with exactly your value.",
        "next row up": "Between two rows, read the next row up.",
        "between rows": "Between two rows, share out in proportion.",
    }[table.read]
    return (
        '<div class="qz-formula"><div class="qz-scroll">'
        f'<table class="qz-table"><thead><tr>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>"
        f"<p>{how}</p>{citations_html(bank, table.citations)}</div>"
    )


def citations_html(bank: Bank, citations: tuple[Citation, ...]) -> str:
    if not citations:
        return ""
    return f'<p class="qz-source">Source: {"; ".join(escape(citation_text(bank, c)) for c in citations)}.</p>'


def citation_text(bank: Bank, citation: Citation) -> str:
    """A citation in standard form; what rests on practice or memory says so."""
    if citation.kind != "published":
        return f"{citation.kind}: {citation.where}" if citation.where else citation.kind
    source = bank.sources[citation.source]
    parts = (source.author, source.title, source.publisher, source.year, citation.where)
    return ", ".join(part for part in parts if part)


def symbols_html(bank: Bank) -> str:
    """Every quantity: symbol, name, unit, plausible range. What is answered in a word has no symbol."""
    rows = ""
    for quantity in sorted(bank.quantities.values(), key=lambda q: (q.symbol.lower(), q.id)):
        also = f" ({escape(quantity.also)})" if quantity.also else ""
        unit = "a word" if quantity.words else escape(quantity.unit.text) or "1"
        symbol = "–" if quantity.words else symbol_html(quantity.symbol)
        rows += (
            f"<tr><td>{symbol}</td><td>{escape(quantity.name)}{also}</td>"
            f"<td>{unit}</td><td>{escape(usual_range(quantity))}</td></tr>"
        )
    heads = "<th>Symbol</th><th>Quantity</th><th>Unit</th><th>Usual range</th>"
    table = f'<table class="qz-table"><thead><tr>{heads}</tr></thead><tbody>{rows}</tbody></table>'
    return f'<div class="qz-scroll">{table}</div>'


def usual_range(quantity: Quantity) -> str:
    """`0 A to 200 A`, or "" where a quantity has no range."""
    if quantity.low is None or quantity.high is None:
        return ""
    factor = float(quantity.unit.factor)
    ends = (spaced(_plain(end / factor)) for end in (quantity.low, quantity.high))
    return " to ".join(with_unit(end, quantity.unit.text) for end in ends)


def _plain(value: float) -> str:
    text = f"{value:.6f}".rstrip("0").rstrip(".") if abs(value) >= 1e-4 or not value else f"{value:.2e}"
    if "e" in text:
        from decimal import Decimal

        return format(Decimal(text).normalize(), "f")
    return text


def formula_line(bank: Bank, formula: Formula) -> str:
    """The first form of a formula as one line of text."""
    symbols = {q.id: q.symbol for q in bank.quantities.values()}
    if formula.forms:
        return equation_line(formula.forms[0], symbols)
    return "; ".join(linear(c.when, lambda id: symbol_text(symbols.get(id, id))) for c in formula.cases)

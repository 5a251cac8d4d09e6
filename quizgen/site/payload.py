"""The data of questions and cases, put into finished pages: outside Markdown, search index and templates."""

from __future__ import annotations

from collections.abc import Mapping

_PLACES = {"question": '<template class="qz-data">', "case": '<template class="qz-case-data">'}

_PLAN = '<template class="qz-plan-data">'


def put_data(output: str, data: Mapping[str, str], uri: str) -> str:
    """The finished page with each template filled; `data`: its text by "question ID", "case ID" or "your-plan PAGE"."""
    for kind, start in _PLACES.items():
        mark = f'data-{kind}="'
        first, *rest = output.split(f"{start}</template>")
        made = [first]
        for part in rest:
            id = made[-1].rpartition(mark)[2].partition('"')[0]
            made += [f"{start}{data[f'{kind} {id}']}</template>", part]
        output = "".join(made)
    plan = data.get(f"your-plan {uri}", "")
    return output.replace(f"{_PLAN}</template>", f"{_PLAN}{plan}</template>", 1) if plan else output

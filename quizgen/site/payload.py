"""The data of questions and cases, put into finished pages: outside Markdown, search index and templates."""

from __future__ import annotations

from collections.abc import Mapping

_PLACES = {"question": '<template class="qz-data">', "case": '<template class="qz-case-data">'}


def put_data(output: str, data: Mapping[str, str]) -> str:
    """The finished page with each template filled; `data`: its text by "question ID" or "case ID"."""
    for kind, start in _PLACES.items():
        mark = f'data-{kind}="'
        first, *rest = output.split(f"{start}</template>")
        made = [first]
        for part in rest:
            id = made[-1].rpartition(mark)[2].partition('"')[0]
            made += [f"{start}{data[f'{kind} {id}']}</template>", part]
        output = "".join(made)
    return output

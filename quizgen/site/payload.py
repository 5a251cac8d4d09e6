"""The data of questions and cases, put into finished pages: outside Markdown, search index and templates."""

from __future__ import annotations

import re
from collections.abc import Mapping

_QUESTION = '<template class="qz-data">'
_CASE = re.compile(r'(<template class="qz-case-data" data-of="([a-z0-9-]+)">)(</template>)')
_PLAN = '<template class="qz-plan-data">'


def put_data(output: str, data: Mapping[str, str], uri: str) -> str:
    """The finished page with each template filled; `data`: its text by "question ID", "case ID" or "your-plan PAGE"."""
    first, *rest = output.split(f"{_QUESTION}</template>")
    made = [first]
    for part in rest:
        id = made[-1].rpartition('data-question="')[2].partition('"')[0]
        made += [f"{_QUESTION}{data[f'question {id}']}</template>", part]
    output = _CASE.sub(lambda found: found[1] + data[f"case {found[2]}"] + found[3], "".join(made))
    plan = data.get(f"your-plan {uri}", "")
    return output.replace(f"{_PLAN}</template>", f"{_PLAN}{plan}</template>", 1) if plan else output

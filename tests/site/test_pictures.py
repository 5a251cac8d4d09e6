"""The `picture` fence: the drawing stands in the page; a wrong name fails with page and line."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from mkdocs.exceptions import PluginError

Build = Callable[..., Path]
REPOSITORY = Path(__file__).parents[2]

LOOP = (
    "modules:\n",
    'pictures:\n  loop:\n    title: A loop\n    says: A pump & a pipe.\n    parts:\n      - box 1,1 to 4,2 "pump"\n'
    '      - line 4,1.5 to 6,1.5\n      - resistor 6,1.5 to 8,1.5 "pipe"\nmodules:\n',
)
PAGE = "# Home\n\n```picture\nloop\n```\n"


def test_a_drawing_stands_in_the_page_with_its_words(build: Build) -> None:
    html = (build({"index.md": PAGE}, (LOOP,)) / "index.html").read_text(encoding="utf-8")
    figure = re.search(r'<figure class="qz-picture" id="picture-loop">.*?</figure>', html, re.DOTALL)
    assert figure
    assert "<desc" in figure[0] and "A pump &amp; a pipe." in figure[0]
    assert figure[0].count("<text") == 2 and "<path" in figure[0]
    assert "qz-block" not in html


@pytest.mark.parametrize(
    ("page", "says"),
    [
        ("# Home\n\n```picture\nlop\n```\n", 'index.md:4: "lop" is no picture in the bank. Did you mean loop?'),
        ("# Home\n\n```picture\nloop\nloop\n```\n", 'index.md:4: picture "loop" stands twice on this page'),
        (PAGE + "\nText.\n\n" + PAGE[8:], 'picture "loop" stands twice on this page'),
        (
            "# Home\n\n```picture\n```\n",
            "index.md:3: an empty picture block: write at least one line with a picture's name",
        ),
    ],
)
def test_a_wrong_name_fails_with_page_and_line(build: Build, page: str, says: str) -> None:
    with pytest.raises(PluginError, match=re.escape(says)):
        build({"index.md": page}, (LOOP,))


BUILD = """
import json, sys
from mkdocs.commands.build import build
from mkdocs.config import load_config
config = load_config(sys.argv[1], strict=True)
config.plugins.on_startup(command="build", dirty=False)
build(config)
print(json.dumps(sorted({name.split(".")[0] for name in sys.modules})))
"""


def test_a_warm_build_loads_no_drawing_library(tmp_path: Path) -> None:
    folder = tmp_path / "pump"
    shutil.copytree(REPOSITORY / "tests" / "courses" / "pump", folder, ignore=shutil.ignore_patterns(".cache"))
    course = folder / "bank" / "course.yml"
    course.write_text(course.read_text(encoding="utf-8").replace(*LOOP), encoding="utf-8")
    (folder / "pages" / "index.md").write_text(PAGE, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": str(REPOSITORY), "NO_MKDOCS_2_WARNING": "1"}

    def loaded() -> list[str]:
        command = [sys.executable, "-c", BUILD, str(folder / "mkdocs.yml")]
        done = subprocess.run(command, capture_output=True, env=environment, check=True, text=True)
        return json.loads(done.stdout.splitlines()[-1])

    assert "schemdraw" in loaded()
    assert {"schemdraw", "numpy"}.isdisjoint(loaded())

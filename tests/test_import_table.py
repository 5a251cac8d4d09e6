"""Which room may import which, held by reading the imports; and what a run from a warm cache loads.

Every room stands on the ones to its left; nothing flows back. Only the site's room knows mkdocs, and a
run that finds everything in the cache loads none of the large libraries.
"""

import ast
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[1]
PACKAGE = REPOSITORY / "quizgen"

ALL = {
    "expression", "cache", "bank", "variants", "tracing", "marking", "web", "papers", "records", "cohort",
    "site", "commands", "cli",
}  # fmt: skip
MAY_IMPORT = {
    "expression": set(),
    "cache": set(),
    "ahead": set(),
    "bank": {"expression"},
    "variants": {"expression", "bank", "cache"},
    "tracing": {"expression", "bank", "cache"},
    "marking": {"expression", "bank", "variants"},
    "web": {"expression", "bank", "variants", "tracing"},
    "papers": {"expression", "bank", "variants", "marking", "web", "cache"},
    "records": {"bank", "papers", "web"},
    "cohort": {"bank", "variants", "tracing", "marking", "papers", "web"},
    "site": {"expression", "bank", "variants", "tracing", "web", "cache", "ahead"},
    "commands": ALL - {"site", "cli"},
    "cli": ALL - {"site"},
}
AT_THE_ROOT = {"__init__", "__main__"}


def room_of(path):
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(path):
    """Every module that a file imports, at its head or inside a function, under its full name."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are written with their full names"
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


FILES = sorted(path for path in PACKAGE.rglob("*.py"))


def test_every_room_stands_in_the_table():
    assert {room_of(path) for path in FILES} - AT_THE_ROOT <= MAY_IMPORT.keys()
    assert {"expression", "bank", "variants", "commands"} <= {room_of(path) for path in FILES}


@pytest.mark.parametrize("room", sorted(MAY_IMPORT))
def test_a_room_imports_only_what_stands_beside_it_in_the_table(room):
    wrong = []
    for path in FILES:
        if room_of(path) != room:
            continue
        for name in imports(path):
            parts = name.split(".")
            if (
                parts[0] == "quizgen"
                and len(parts) > 1
                and parts[1] in ALL
                and parts[1] not in MAY_IMPORT[room] | {room}
            ):
                wrong.append(f"{path.relative_to(REPOSITORY)} imports {name}")
    assert wrong == []


def test_only_the_sites_room_knows_mkdocs():
    knowing = {room_of(path) for path in FILES for name in imports(path) if name.split(".")[0] == "mkdocs"}
    assert knowing <= {"site"}


def test_nothing_of_the_site_knows_papers_or_people():
    """Through no chain of imports either, so that no key and no name can reach a published page."""
    reached, waiting = set(), ["site"]
    while waiting:
        room = waiting.pop()
        reached.add(room)
        beside = {
            name.split(".")[1]
            for path in FILES
            if room_of(path) == room
            for name in imports(path)
            if name.startswith("quizgen.")
        }
        waiting += sorted((beside & ALL) - reached)
    assert reached.isdisjoint({"papers", "records", "cohort"})


HEAVY = ("numpy", "pint", "sympy", "mkdocs", "sqlalchemy", "hypothesis")

CHECK = """
import json, sys
from quizgen.cli import main
code = main(["check", "--json", "--course", sys.argv[1]])
print("\\n" + json.dumps({"code": code, "loaded": sorted({name.split(".")[0] for name in sys.modules})}))
"""

COMPILE = """
import json, sys
from pathlib import Path
from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.variants.compile import compile_bank
folder = Path(sys.argv[1])
store = Cache(folder.parent / ".cache" / "quizgen")
made, faults = compile_bank(load_bank(folder), store)
loaded = sorted({name.split(".")[0] for name in sys.modules})
print(json.dumps({"code": len(faults), "made": store.made, "loaded": loaded}))
"""


def ran(program, folder):
    environment = {**os.environ, "PYTHONPATH": str(REPOSITORY), "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(
        [sys.executable, "-c", program, str(folder)], capture_output=True, env=environment, check=True
    )
    return json.loads(done.stdout.decode().splitlines()[-1])


@pytest.fixture(scope="module")
def warm(tmp_path_factory):
    """A course whose questions are all in the cache, and what the first run loaded."""
    folder = tmp_path_factory.mktemp("warm") / "depot"
    shutil.copytree(REPOSITORY / "tests" / "bank" / "depot", folder, ignore=shutil.ignore_patterns(".cache"))
    return folder, ran(CHECK, folder)


def test_a_first_run_draws_with_numpy(warm):
    """Otherwise the next two tests would show nothing."""
    assert warm[1]["code"] == 0
    assert "numpy" in warm[1]["loaded"]


@pytest.mark.parametrize("program", [CHECK, COMPILE], ids=["quizgen check", "compile_bank"])
def test_a_warm_run_loads_none_of_the_large_libraries(warm, program):
    second = ran(program, warm[0])
    assert second["code"] == 0 and second.get("made", 0) == 0
    assert [name for name in second["loaded"] if name in HEAVY] == []

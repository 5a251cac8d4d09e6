"""Which word of start.py does what."""

import ast
import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

REPOSITORY = Path(__file__).resolve().parents[2]


@pytest.fixture
def runs(start, monkeypatch):
    """Every program that would have been run: its words after the Python, its folder, its settings."""
    seen = []

    def run(command, folder=start.ROOT, **more):
        assert command[0] == start.PYTHON
        seen.append(([str(part) for part in command[1:]], folder, more))
        return run.codes.get(command[2], 0)

    run.codes = {}
    monkeypatch.setattr(start, "run", run)
    monkeypatch.setattr(start, "prepare", lambda group, out: seen.append((group, out)))
    monkeypatch.setattr(start, "find_chromium", lambda: "/there/chromium")
    seen_and_codes = type("Runs", (), {"seen": seen, "codes": run.codes})
    return seen_and_codes


def test_an_old_python_can_read_the_file():
    """A Python that cannot parse start.py could not say which Python it needs."""
    source = (REPOSITORY / "start.py").read_text(encoding="utf-8")
    assert ast.parse(source, feature_version=(3, 6)).body
    assert "from __future__" not in source, "an old Python knows none of today's future features"
    assert source.isascii(), "an old console may know no other letters"


def test_an_old_python_is_told_which_one_is_needed(start, runs, monkeypatch, capsys):
    monkeypatch.setattr(start, "OLDEST", (99, 0))
    assert start.main(["build"]) == 1
    assert "this is Python" in capsys.readouterr().err
    assert runs.seen == []
    sentence = start.too_old((3, 6, 15), "/usr/bin/python3")
    assert "needs Python 3.11 or newer; this is Python 3.6 (/usr/bin/python3)" in sentence


def test_no_word_serves_on_this_computer_only_and_prints_the_address(start, runs, monkeypatch, capsys):
    monkeypatch.setattr(start, "free_port", lambda host, ports: 8003)
    assert start.main([]) == 0
    assert runs.seen == [
        ("run", sys.stdout),
        (["-m", "mkdocs", "serve", "--dev-addr", "127.0.0.1:8003"], start.ROOT, {}),
    ]
    assert "http://127.0.0.1:8003/" in capsys.readouterr().out


def test_build_is_strict_and_not_verbose(start, runs):
    """With -v mkdocs does not collect links to anchors, and --strict passes what it should not."""
    assert start.main(["build"]) == 0
    words = runs.seen[-1][0]
    assert words[:4] == ["-m", "mkdocs", "build", "--strict"]
    assert not {"-v", "--verbose"} & set(words)


@pytest.mark.parametrize("word", ["build", "lend"])
def test_a_word_too_many_is_refused(start, runs, word, capsys):
    assert start.main([word, "--fast"]) == 1
    assert f'"{word}" stands alone' in capsys.readouterr().err
    assert runs.seen == []


def test_test_reads_the_code_then_runs_the_tests_with_the_browser(start, runs):
    assert start.main(["test", "-k", "number"]) == 0
    (group, _), (lint, _, _), (tests, folder, settings) = runs.seen
    assert group == "test"
    assert lint == ["-m", "ruff", "check", "quizgen", "tests", "start.py"]
    assert tests == ["-m", "pytest", "-n", "2", "--dist", "loadfile", "-k", "number"]
    assert folder == start.ROOT
    assert settings == {"QUIZGEN_CHROMIUM": "/there/chromium"}


@pytest.mark.parametrize(("lint", "tests", "code"), [(0, 0, 0), (1, 0, 1), (0, 2, 2), (1, 5, 5)])
def test_test_fails_when_lint_or_tests_find_a_fault(start, runs, lint, tests, code):
    runs.codes.update(ruff=lint, pytest=tests)
    assert start.main(["test"]) == code
    assert [seen[0][1] for seen in runs.seen[1:]] == ["ruff", "pytest"], "the tests run in any case"


def test_test_needs_a_browser(start, runs, monkeypatch, capsys):
    monkeypatch.setattr(start, "find_chromium", lambda: None)
    monkeypatch.setenv("PATH", "")
    assert start.main(["test"]) == 1
    assert "need Chromium" in capsys.readouterr().err
    assert runs.seen == []


def test_bench_hands_its_arguments_on(start, runs):
    assert start.main(["bench", "build", "--runs", "7"]) == 0
    assert runs.seen[-1] == (
        ["-m", "tests.bench", "build", "--runs", "7"],
        start.ROOT,
        {"QUIZGEN_CHROMIUM": "/there/chromium"},
    )


@pytest.mark.parametrize(
    "words", [["check"], ["--course", "other", "check", "--json"], ["show", "depot van", ""], ["serve"]]
)
def test_other_words_go_to_quizgen_unchanged_with_its_exit_code(start, runs, words):
    """In the folder where they were typed, and without a line of ours on its stdout."""
    runs.codes["-m"] = 3
    assert start.main(words) == 3
    assert runs.seen == [("run", sys.stderr), (["-P", "-m", "quizgen", *words], None, {})]


@pytest.mark.parametrize("word", ["help", "-h", "--help"])
def test_help_names_every_word_and_says_where_others_go(start, runs, word, capsys):
    assert start.main([word]) == 0
    text = capsys.readouterr().out
    assert all(f"start.py {name}" in text for name in ("build", "lend", "test", "bench", "help"))
    assert "goes to quizgen" in text
    assert runs.seen == []


def test_a_program_we_start_gets_utf8_quiet_and_none_of_another_pythons_packages(start, monkeypatch):
    monkeypatch.setenv("PYTHONPATH", "elsewhere")
    monkeypatch.setenv("PYTHONHOME", "elsewhere")
    environment = start.surroundings(QUIZGEN_CHROMIUM="c")
    assert environment["PYTHONUTF8"] == environment["NO_MKDOCS_2_WARNING"] == "1"
    assert environment["QUIZGEN_CHROMIUM"] == "c"
    assert not {"PYTHONPATH", "PYTHONHOME"} & set(environment)


@pytest.mark.parametrize("code", [0, 1, 7, 255])
def test_an_exit_code_comes_back_as_it_is(start, code):
    assert start.run([sys.executable, "-I", "-S", "-c", f"raise SystemExit({code})"]) == code


def test_lines_of_a_program_are_printed_and_kept(start, capsys):
    command = [sys.executable, "-I", "-S", "-c", "print('one'); print('two'); raise SystemExit(4)"]
    assert start.follow(command, sys.stdout) == (4, ["one", "two"])
    assert capsys.readouterr().out == "  one\n  two\n"


WAITING = """
import os, signal

def told_to_end(number, frame):
    os.write(1, b"told to end\\n")
    os._exit(0)

signal.signal(signal.SIGTERM, told_to_end)
try:
    os.write(1, b"waiting\\n")
    signal.pause()
except KeyboardInterrupt:
    signal.sigtimedwait([signal.SIGUSR1], 0.2)  # as a program that has something to close
    os.write(1, b"closing\\n")
"""

STARTING = """
import importlib.util, signal, sys
spec = importlib.util.spec_from_file_location("start", sys.argv[1])
start = importlib.util.module_from_spec(spec)
spec.loader.exec_module(start)
start.prepare = lambda group, out: None
start.PYTHON = sys.argv[2]
signal.signal(signal.SIGTERM, start.ended_from_outside)
sys.exit(start.main(sys.argv[3:]))
"""


@pytest.mark.skipif(os.name == "nt", reason="signals of a terminal are sent in another way there")
@pytest.mark.parametrize(
    ("words", "to_all", "number", "code", "last"),
    [
        ([], True, signal.SIGINT, 0, "closing"),
        (["check"], True, signal.SIGINT, 130, "closing"),
        (["check"], False, signal.SIGTERM, 143, "told to end"),
    ],
    ids=["Ctrl-C while serving", "Ctrl-C in quizgen", "ended from outside"],
)
def test_stopping_is_quiet_and_leaves_no_program_behind(start, tmp_path, words, to_all, number, code, last):
    """The pipe only ends when every program that writes to it has ended; a minute means that one was left.

    After Ctrl-C a program closes in its own way: it is not told to end while it does.
    """
    stand_in = tmp_path / "python"
    stand_in.write_text(f"#!{sys.executable} -IS\n{WAITING}", encoding="utf-8")
    stand_in.chmod(0o755)
    command = [sys.executable, "-I", "-S", "-c", STARTING, start.__file__, str(stand_in), *words]
    ours = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, start_new_session=True
    )
    left_behind = threading.Timer(60, os.killpg, (ours.pid, signal.SIGKILL))
    left_behind.start()
    with ours:
        seen = []
        for line in ours.stdout:
            seen.append(line.strip())
            if line.strip() == "waiting":
                (os.killpg if to_all else os.kill)(ours.pid, number)
    assert left_behind.is_alive(), "a program went on"
    left_behind.cancel()
    assert ours.returncode == code
    assert [line for line in seen if line][-1] == last
    assert not any("Traceback" in line for line in seen)

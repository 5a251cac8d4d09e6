"""When .venv is made, filled again or left alone, and what is said where that cannot be done."""

import importlib.util
import shutil
import sys
from types import SimpleNamespace

import pytest


@pytest.fixture
def done(start, monkeypatch):
    """What prepare does, in place of doing it; a Python counts as sound where .venv is."""
    return record(start, monkeypatch)


def record(start, monkeypatch):
    steps = []
    monkeypatch.setattr(start, "sound", lambda group: start.VENV.is_dir())
    monkeypatch.setattr(start, "complain_about_missing_parts", lambda out: None)

    def make_venv(out):
        start.VENV.mkdir(exist_ok=True)
        start.MARKER.unlink(missing_ok=True)
        steps.append("make")

    monkeypatch.setattr(start, "make_venv", make_venv)
    monkeypatch.setattr(start, "install", lambda group, out: steps.append(group))
    return steps


def prepared(start, steps, group):
    """The steps that preparing for a group takes from here."""
    steps.clear()
    start.prepare(group, sys.stdout)
    return list(steps)


def test_the_first_start_makes_and_fills_and_the_second_does_nothing(start, done):
    assert prepared(start, done, "run") == ["make", "run"]
    assert prepared(start, done, "run") == []


def test_what_is_installed_for_the_tests_serves_for_the_rest(start, done):
    assert prepared(start, done, "test") == ["make", "test"]
    assert prepared(start, done, "run") == []


def test_the_tests_only_add_what_is_lacking(start, done):
    assert prepared(start, done, "run") == ["make", "run"]
    assert prepared(start, done, "test") == ["test"]
    assert prepared(start, done, "test") == []


@pytest.mark.parametrize("name", ["pyproject.toml", ".ci/constraints.txt"])
def test_a_changed_wish_is_installed_once(start, done, name):
    prepared(start, done, "run")
    (start.ROOT / name).write_text("changed\n", encoding="utf-8")
    assert prepared(start, done, "run") == ["run"]
    assert prepared(start, done, "run") == []


def test_a_moved_folder_is_set_up_again(start, done, move, monkeypatch):
    prepared(start, done, "run")
    moved = move()
    steps = record(moved, monkeypatch)
    assert prepared(moved, steps, "run") == ["make", "run"]


@pytest.mark.parametrize("change", [{"platform": "other"}, {"implementation": SimpleNamespace(cache_tag="x-399")}])
def test_another_python_is_set_up_again(start, done, monkeypatch, change):
    prepared(start, done, "run")
    other = {"platform": sys.platform, "implementation": sys.implementation, "stdout": sys.stdout} | change
    monkeypatch.setattr(start, "sys", SimpleNamespace(**other))
    assert prepared(start, done, "run") == ["make", "run"]


def test_a_broken_python_is_made_again_in_spite_of_the_marker(start, done, monkeypatch):
    prepared(start, done, "test")
    monkeypatch.setattr(start, "sound", lambda group: group == "bare")
    assert prepared(start, done, "test") == ["make", "test"]
    (start.ROOT / "pyproject.toml").write_text("changed\n", encoding="utf-8")
    assert prepared(start, done, "test") == ["make", "test"]


def test_one_made_by_hand_is_filled_and_not_removed(start, done):
    start.VENV.mkdir()
    assert prepared(start, done, "run") == ["run"]
    assert prepared(start, done, "run") == []


def test_one_made_by_hand_for_another_python_is_made_again(start, done, monkeypatch):
    start.VENV.mkdir()
    monkeypatch.setattr(start, "sound", lambda group: False)
    assert prepared(start, done, "run") == ["make", "run"]


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"0 0\n", b"unfinished\n"])
def test_a_damaged_or_unfinished_marker_makes_it_again(start, done, content):
    prepared(start, done, "run")
    start.MARKER.write_bytes(content)
    assert prepared(start, done, "run") == ["make", "run"]


def test_after_a_stopped_installation_it_is_made_again(start, done, monkeypatch):
    prepared(start, done, "run")
    (start.ROOT / "pyproject.toml").write_text("changed\n", encoding="utf-8")

    def stopped(group, out):
        raise KeyboardInterrupt

    monkeypatch.setattr(start, "install", stopped)
    with pytest.raises(KeyboardInterrupt):
        start.prepare("run", sys.stdout)
    assert start.MARKER.read_text(encoding="utf-8") == start.UNFINISHED
    assert prepared(start, record(start, monkeypatch), "run") == ["make", "run"]


def test_what_works_is_kept_when_something_new_cannot_be_fetched(start, done, monkeypatch):
    """A shop without network must not lose its course to a new version that it cannot install."""

    def no_network(group, out):
        raise start.Stop("no network")

    prepared(start, done, "run")
    (start.ROOT / "pyproject.toml").write_text("changed\n", encoding="utf-8")
    with monkeypatch.context() as patch:
        patch.setattr(start, "install", no_network)
        for _ in range(2):
            with pytest.raises(start.Stop, match="no network"):
                start.prepare("run", sys.stdout)
    assert prepared(start, done, "run") == ["run"]


@pytest.mark.parametrize(("group", "package"), [("run", "."), ("test", ".[test]")])
def test_pip_keeps_to_the_pinned_versions(start, monkeypatch, group, package):
    commands = []
    monkeypatch.setattr(start, "follow", lambda command, out: (commands.append(command), (0, []))[1])
    start.install(group, sys.stdout)
    (words,) = commands
    assert words[:4] == [start.PYTHON, "-m", "pip", "install"]
    assert words[-4:] == ["--constraint", start.CONSTRAINTS, "--editable", package]


RETRYING = (
    "WARNING: Retrying (Retry(total=4, connect=None, read=None, redirect=None, status=None)) after "
    "connection broken by 'NewConnectionError(...): Failed to establish a new connection'"
)


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ([RETRYING, "ERROR: No matching distribution found for setuptools>=77"], "no package index answered"),
        (["ERROR: No space left on device"], "its lines above say why"),
    ],
)
def test_a_failed_installation_says_whether_the_network_is_missing(start, monkeypatch, lines, sentence):
    monkeypatch.setattr(start, "follow", lambda command, out: (1, lines))
    with pytest.raises(start.Stop, match=sentence):
        start.install("run", sys.stdout)


def test_half_a_repository_is_named(start, clone):
    (clone / ".ci" / "constraints.txt").unlink()
    with pytest.raises(start.Stop, match=r"constraints\.txt is missing"):
        start.marks("run")


@pytest.mark.parametrize(
    ("modules", "tag", "sound"),
    [
        (("json", "email"), sys.implementation.cache_tag, True),
        (("json", "no_such_module_here"), sys.implementation.cache_tag, False),
        (("json", "email"), "x-399", False),
    ],
    ids=["all there", "one lacking", "another Python"],
)
def test_the_python_inside_is_asked_whether_it_is_ours_and_finds_everything(start, monkeypatch, modules, tag, sound):
    ours = SimpleNamespace(implementation=SimpleNamespace(cache_tag=tag))
    monkeypatch.setattr(start, "PYTHON", sys.executable)
    monkeypatch.setitem(start.PROOF, "run", modules)
    monkeypatch.setattr(start, "sys", ours)
    assert start.sound("run") is sound


def test_a_python_that_was_removed_is_not_sound(start, tmp_path, monkeypatch):
    gone = tmp_path / "python"
    gone.symlink_to(tmp_path / "nowhere")
    monkeypatch.setattr(start, "PYTHON", gone)
    assert not start.sound("run")


def test_old_remains_go_before_the_folder_is_made(start, monkeypatch, capsys):
    (start.VENV / "lib").mkdir(parents=True)

    def venv(command, out):
        assert command[1:] == ["-m", "venv", start.VENV]
        assert [path.name for path in start.VENV.iterdir()] == [start.MARKER.name]
        assert start.MARKER.read_text(encoding="utf-8") == start.UNFINISHED
        return 0, []

    monkeypatch.setattr(start, "follow", venv)
    start.make_venv(sys.stdout)
    assert "is made again" in capsys.readouterr().out


def test_only_the_link_goes_where_the_folder_is_a_link(start, tmp_path, monkeypatch):
    kept = tmp_path / "kept"
    (kept / "bin").mkdir(parents=True)
    (kept / "bin" / "python").touch()
    start.VENV.symlink_to(kept)
    monkeypatch.setattr(start, "follow", lambda command, out: (0, []))
    start.make_venv(sys.stdout)
    assert [path.name for path in kept.rglob("*")] == ["bin", "python"]
    assert not start.VENV.is_symlink()


def test_a_folder_that_cannot_be_made_gives_the_last_line_said(start, monkeypatch):
    monkeypatch.setattr(start, "follow", lambda command, out: (1, ["Error:", "No space left"]))
    with pytest.raises(start.Stop, match=r"could not make the folder \.venv: No space left"):
        start.make_venv(sys.stdout)


PACKAGE = f"python{sys.version_info[0]}.{sys.version_info[1]}-venv"


def test_debian_is_told_the_package_to_install(start, monkeypatch):
    monkeypatch.setattr(start, "missing_parts", lambda: ["ensurepip"])
    monkeypatch.setattr(shutil, "which", lambda name: f"/usr/bin/{name}")
    with pytest.raises(start.Stop, match=rf"lacks ensurepip(?s:.*)sudo apt-get install {PACKAGE}"):
        start.complain_about_missing_parts(sys.stdout)


def test_other_systems_are_told_to_install_a_complete_python(start, monkeypatch):
    monkeypatch.setattr(start, "missing_parts", lambda: ["venv", "ensurepip"])
    monkeypatch.setattr(shutil, "which", lambda name: None)
    with pytest.raises(start.Stop, match=r"lacks venv and ensurepip: install a complete Python 3\.11"):
        start.complain_about_missing_parts(sys.stdout)


def test_in_ci_the_package_is_installed(start, monkeypatch):
    answers = [["ensurepip"], []]
    asked = []
    monkeypatch.setenv("CI", "true")
    monkeypatch.setattr(start, "missing_parts", lambda: answers.pop(0))
    monkeypatch.setattr(shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(start, "install_from_debian", lambda package, out: asked.append(package) or True)
    start.complain_about_missing_parts(sys.stdout)
    assert asked == [PACKAGE]
    assert answers == [], "whether the part is there now was asked again"


@pytest.mark.parametrize("found", [None, SimpleNamespace(origin=None)], ids=["absent", "an empty folder"])
def test_a_part_of_python_is_missed(start, monkeypatch, found):
    whole = SimpleNamespace(origin="somewhere")
    with monkeypatch.context() as patch:
        patch.setattr(importlib.util, "find_spec", lambda name: found if name == "ensurepip" else whole)
        missing = start.missing_parts()
    assert missing == ["ensurepip"]

"""The manual of the register, done line by line: start, enter, ask, back up, restore, hand over, give out, take out."""

import json
import re
import shlex
import shutil
from pathlib import Path

import pytest

from quizgen import cli

PAGE = Path(__file__).resolve().parents[2] / "course" / "pages" / "trainer" / "register.md"
COURSE = PAGE.parents[2]


@pytest.fixture
def shop_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("QUIZGEN_PASSPHRASE", "three old wooden crates")
    monkeypatch.setenv("QUIZGEN_NEW_PASSPHRASE", "another four grey geese")
    return tmp_path


def lines():
    blocks = re.findall(r"```sh\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    return [line for block in blocks for line in block.splitlines()]


def run(*words):
    return cli.main([*words, "--course", str(COURSE)])


def test_every_line_of_the_manual_works_in_its_order(shop_folder, monkeypatch, capsys):
    for line in lines():
        words = shlex.split(line)
        match words[0]:
            case "quizgen":
                assert run(*words[1:]) == 0, line
                if words[2] == "passphrase":
                    monkeypatch.setenv("QUIZGEN_PASSPHRASE", "another four grey geese")
            case "cp":
                shutil.copytree(words[2], words[3])
            case "mv":
                shutil.move(words[1], words[2])
            case _:
                pytest.fail(f"the test does not know {words[0]}")
    said = capsys.readouterr().out
    assert said.count("This register records evidence. It authorises nobody.") >= 12
    assert "A-07 is erased" in said
    assert (shop_folder / "export" / "A-07.html").exists() and (shop_folder / "board.html").exists()


def test_a_backup_that_is_older_than_a_print_is_found_out(shop_folder, capsys):
    start, observe = lines()[:2]
    assert run(*shlex.split(start)[1:]) == 0
    shutil.copytree("records", "backup")
    assert run(*shlex.split(observe)[1:], "--json") == 0
    head = json.loads(capsys.readouterr().out.rpartition("\n{")[2].join(["{", ""]))["head"]
    shutil.rmtree("records")
    shutil.copytree("backup", "records")
    assert run("register", "verify", "--records", "records") == 0
    assert run("register", "verify", "--records", "records", "--head", head) == 1
    assert "older than the print" in capsys.readouterr().err


def test_who_may_not_work_today_and_why_is_one_command(shop_folder, capsys):
    for line in lines()[:4]:
        assert run(*shlex.split(line)[1:]) == 0
    capsys.readouterr()
    assert run("register", "list", "--not-current", "--tier", "isolates", "--records", "records") == 0
    said = capsys.readouterr().out
    assert "A-07" in said and "suspended since" in said and "gloves out of date" in said


def test_without_a_register_every_act_says_how_to_make_one(shop_folder, capsys):
    for act in ("list", "due", "verify", "person A-07", "board --out x.html", "export --out y"):
        assert run("register", *shlex.split(act), "--records", "nowhere") == 1
        assert "quizgen register start" in capsys.readouterr().err
    assert not (shop_folder / "x.html").exists() and not (shop_folder / "y").exists()


def test_without_a_passphrase_nothing_hangs(shop_folder, monkeypatch, capsys):
    monkeypatch.delenv("QUIZGEN_PASSPHRASE")
    monkeypatch.setattr("getpass.getpass", lambda words: (_ for _ in ()).throw(EOFError))
    assert run(*shlex.split(lines()[0])[1:]) == 1
    assert "QUIZGEN_PASSPHRASE" in capsys.readouterr().err

"""The help of each act of a paper and of the register: what it does, what it needs, what comes next."""

import re

import pytest

from quizgen.cli import main

PAPER = {
    "issue": "quizgen paper mark",
    "page": "the candidate opens it",
    "mark": "compare each check code",
    "key": "quizgen paper enter",
    "enter": "hand the mark sheet",
    "void": "mend the question",
}
"""Each act with words of what comes next."""
REGISTER = {
    "start": "quizgen register add",
    "signer": "quizgen register verify",
    "passphrase": "keep the new one",
    "add": "quizgen register person",
    "list": "quizgen register person",
    "person": "quizgen register add",
    "due": "quizgen register add",
    "board": "countersigned",
    "export": "delete them",
    "erase": "quizgen register verify",
    "verify": "quizgen register board",
}
ACTS = [("paper", *one) for one in PAPER.items()] + [("register", *one) for one in REGISTER.items()]


def helped(capsys, *words):
    with pytest.raises(SystemExit) as ended:
        main([*words, "--help"])
    told = capsys.readouterr()
    assert (ended.value.code, told.err) == (0, "")
    return " ".join(told.out.split())


@pytest.mark.parametrize(("command", "act", "after"), ACTS, ids=[f"{c} {a}" for c, a, _ in ACTS])
def test_each_act_says_what_comes_next_and_how_it_ends(capsys, command, act, after):
    out = helped(capsys, command, act)
    following = out.split("Next: ")
    assert len(following) == 2 and after in following[1]
    assert "Exit codes: 0 all well" in out and "--records FOLDER" in out


@pytest.mark.parametrize(("command", "acts"), [("paper", PAPER), ("register", REGISTER)])
def test_the_command_names_every_act_and_no_act_is_untested_here(capsys, command, acts):
    out = helped(capsys, command)
    # Each act stands with its words behind the heading of the acts.
    for act in acts:
        assert re.search(rf"\b{act} [a-z]", out), act
    with pytest.raises(SystemExit) as ended:
        main([command, "frobnicate"])
    assert ended.value.code == 2
    offered = set(re.findall(r"'([a-z]+)'", capsys.readouterr().err.split("choose from")[1]))
    assert offered == set(acts)

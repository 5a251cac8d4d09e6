"""Words of the command line, exit codes and consoles of every kind."""

import pytest

from quizgen import __version__
from quizgen.cli import main


def test_the_version_is_printed(capsys):
    with pytest.raises(SystemExit) as ended:
        main(["--version"])
    assert ended.value.code == 0
    assert capsys.readouterr().out == f"quizgen {__version__}\n"


@pytest.mark.parametrize(
    "words",
    [(), ("frobnicate",), ("check", "extra"), ("check", "--bogus"), ("show",), ("work", "copper"),
     ("work", "--find", "x"), ("work", "copper", "--find", "x", "a=1", "--bogus")],
)  # fmt: skip
def test_a_command_that_is_not_understood_ends_with_two(words, capsys):
    with pytest.raises(SystemExit) as ended:
        main(list(words))
    assert ended.value.code == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err.splitlines()[-1].startswith("quizgen")


def test_only_what_is_not_understood_is_named(capsys):
    with pytest.raises(SystemExit):
        main(["work", "copper", "--find", "x", "a=1", "--bogus", "b=2"])
    assert capsys.readouterr().err.splitlines()[-1] == "quizgen: error: not understood: --bogus"


def test_help_names_every_command_and_the_exit_codes(capsys):
    with pytest.raises(SystemExit) as ended:
        main(["--help"])
    assert ended.value.code == 0
    out = capsys.readouterr().out
    for word in ("check", "show", "work", "Exit codes: 0 all well, 1 a fault"):
        assert word in out


WORK = "work", "three-phase-power", "--find", "I_L", "P=15 kW", "U_LL=415 V", "pf=0.77"
TABLE = "work", "conductors", "--find", "R_per", "A_c=2.5 mm^2"


def test_a_console_that_can_shows_the_signs_of_the_trade(shell):
    assert shell(*WORK)[1].decode().splitlines()[0].replace("\u00a0", " ") == "I_L = P / (√3 · U_LL · λ)"
    assert shell(*TABLE)[1].decode().splitlines()[-1] == "R_per = 7.980\u00a0Ω/km"


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "cp437"])
def test_a_console_that_cannot_gets_words_for_signs(shell, encoding):
    """cp1252 has no Ω and no √, cp437 has no narrow space: nothing is lost and nothing breaks."""
    code, out, err = shell(*WORK, encoding=encoding)
    assert (code, err) == (0, b"")
    assert "?" not in out.decode(encoding)
    first, *_, last = out.decode(encoding).splitlines()
    assert first.replace("\u00a0", " ") in ("I_L = P / (sqrt3 * U_LL * lambda)", "I_L = P / (√3 · U_LL · λ)")
    assert last in ("I_L = 27.10 A", "I_L = 27.10\u00a0A")
    code, out, err = shell(*TABLE, encoding=encoding)
    assert (code, err) == (0, b"")
    assert out.decode(encoding).splitlines()[-1].replace("\u00a0", " ") in (
        "R_per = 7.980 ohm/km",
        "R_per = 7.980 Ω/km",
    )


def test_an_ascii_console_gets_ohm_and_sqrt(shell):
    assert b"sqrt" in shell(*WORK, encoding="ascii")[1]
    assert b"ohm" in shell(*TABLE, encoding="ascii")[1]


def test_a_whole_check_fits_an_ascii_console(shell):
    code, out, err = shell("check", encoding="ascii")
    assert (code, err) == (0, b"")
    assert out.isascii() and b"?" not in out


def test_a_fault_fits_an_ascii_console(shell):
    code, out, err = shell("show", "ναν", encoding="ascii")
    assert (code, out) == (1, b"")
    assert err.isascii()
    assert b"is no question, formula or table here" in err


def test_words_that_are_no_utf_8_are_no_traceback(shell):
    code, _, err = shell("show", b"\xff\xfe")
    assert (code, len(err.splitlines())) == (1, 1)
    code, _, err = shell("work", "copper", "--find", b"\xff", b"\xff=\xff")
    assert (code, len(err.splitlines())) == (1, 1)

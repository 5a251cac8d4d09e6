"""Where the Chromium for the tests of the pages comes from. A missing one is an error, never a skip."""

import io
import os
import sys
from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def only_these_programs(program, start, monkeypatch):
    """PATH holds nothing but what a test puts there, and nobody sits at the keyboard."""
    monkeypatch.setenv("PATH", str(program.folder))
    monkeypatch.setattr(start, "usual_places", list)
    monkeypatch.setattr(sys, "stdin", io.StringIO())


@pytest.fixture
def debian(start, program, monkeypatch):
    """A Debian on which installing chromium works; gives the commands that were run."""
    program("apt-get")
    commands = []

    def follow(command, out):
        commands.append(command)
        if command[-1] == "chromium":
            program("chromium")
        return 0, []

    monkeypatch.setattr(start, "follow", follow)
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    return commands


def answer(monkeypatch, text):
    """Somebody sits at the keyboard and types text."""
    keyboard = io.StringIO()
    keyboard.isatty = lambda: True
    monkeypatch.setattr(sys, "stdin", keyboard)
    monkeypatch.setattr("builtins.input", lambda question: text)


@pytest.mark.parametrize(
    "name", ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome", "msedge"]
)
def test_each_name_is_found_on_path(start, program, name):
    path = program(name)
    assert start.chromium(sys.stdout) == path


def test_chromium_comes_first(start, program):
    program("msedge")
    program("google-chrome")
    path = program("chromium")
    assert start.chromium(sys.stdout) == path


def test_a_stand_in_that_does_not_start_is_passed_over(start, program):
    program("chromium-browser", exit_code=1)
    path = program("chrome")
    assert start.chromium(sys.stdout) == path


def test_the_usual_places_are_searched_after_path(start, program, monkeypatch):
    path = program("somewhere-else")
    places = [Path(path).with_name("not-there"), Path(path)]
    monkeypatch.setattr(start, "usual_places", lambda: places)
    assert start.chromium(sys.stdout) == path


def test_a_named_program_is_taken(start, program, monkeypatch):
    program("chromium")
    path = program("my-browser")
    monkeypatch.setenv("QUIZGEN_CHROMIUM", path)
    assert start.chromium(sys.stdout) == path


@pytest.mark.parametrize("exit_code", [None, 1], ids=["absent", "does not start"])
def test_a_wrongly_named_program_is_an_error_even_where_another_is_there(start, program, monkeypatch, exit_code):
    program("chromium")
    if exit_code is not None:
        program("my-browser", exit_code)
    monkeypatch.setenv("QUIZGEN_CHROMIUM", str(program.folder / "my-browser"))
    with pytest.raises(start.Stop, match="QUIZGEN_CHROMIUM names .*my-browser"):
        start.chromium(sys.stdout)


def test_without_debian_the_person_is_told_how_to_get_one(start):
    with pytest.raises(start.Stop, match="need Chromium .* QUIZGEN_CHROMIUM"):
        start.chromium(sys.stdout)


def test_ci_installs_it_and_updates_the_lists_first(start, debian, monkeypatch):
    monkeypatch.setenv("CI", "true")
    assert Path(start.chromium(sys.stdout)).name == "chromium"
    assert [command[:3] for command in debian] == [["env", "DEBIAN_FRONTEND=noninteractive", "apt-get"]] * 2
    assert [command[3] for command in debian] == ["update", "install"]


def test_a_person_is_asked_and_says_yes(start, debian, monkeypatch):
    answer(monkeypatch, "y")
    assert Path(start.chromium(sys.stdout)).name == "chromium"


@pytest.mark.parametrize("text", ["", "n", "what?"])
def test_anything_else_is_no(start, debian, monkeypatch, text):
    answer(monkeypatch, text)
    with pytest.raises(start.Stop, match="need Chromium"):
        start.chromium(sys.stdout)
    assert debian == []


@pytest.mark.parametrize("setting", ["", "0", "false"])
def test_nobody_at_the_keyboard_means_no(start, debian, monkeypatch, setting):
    monkeypatch.setenv("CI", setting)
    with pytest.raises(start.Stop, match="sudo apt-get install chromium"):
        start.chromium(sys.stdout)
    assert debian == []


def test_who_is_not_root_goes_through_sudo(start, debian, program, monkeypatch):
    program("sudo")
    monkeypatch.setenv("CI", "true")
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    assert start.chromium(sys.stdout)
    assert {command[0] for command in debian} == {"sudo"}


def test_without_root_and_sudo_the_command_is_named(start, debian, monkeypatch):
    monkeypatch.setenv("CI", "true")
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(start.Stop, match="could not be installed. Type: sudo apt-get install chromium"):
        start.chromium(sys.stdout)
    assert debian == []

"""A page of the trainer's manual done as it says: files are written, commands typed, what is printed compared.

The blocks of a page mean, in their order:

- `yaml` or `md` with a title that is a file's name: the reader writes this file. An `md` block shows a part of
  a page that is there: lines the page lacks go behind the line above them, `…` stands for lines left out.
- `yaml` with a title that ends in `, added`: the lines go under the last one of that file.
- `yaml` titled `before`, then `after`: the reader changes these lines for good.
- `sh`: the lines are typed in the folder of the project.
- `text`: what the lines above print. `…` alone stands for any number of lines, at a line's end for its rest.
- `yaml` titled `wrong`, then `right`, then `text`: the right lines stand in one of the reader's files; with the
  wrong ones in their place `quizgen check` says this and no more. Afterwards the file is right again.
"""

from __future__ import annotations

import re
import shlex
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from mkdocs.commands.build import build
from mkdocs.config import load_config

from quizgen import cli

REPOSITORY = Path(__file__).parents[2]
TRAINER = REPOSITORY / "course" / "pages" / "trainer"
SUMMARY = re.compile(r"\d+ faults? in \d+ of \d+ files\.")
Told = Callable[[], str]
"""What was printed and complained since it was asked last."""


@dataclass(frozen=True, slots=True)
class Block:
    kind: str
    title: str
    lines: tuple[str, ...]
    place: str


def blocks(page: Path) -> Iterator[Block]:
    """The fenced blocks of a page, without those inside another one."""
    mark, info, start, inside = "", "", 0, list[str]()
    for number, line in enumerate(page.read_text(encoding="utf-8").splitlines(), 1):
        if not mark and (fence := re.match(r"(`{3,})(.*)$", line)):
            mark, info, start, inside = fence[1], fence[2], number, []
        elif mark and line.rstrip() == mark:
            mark = ""
            kind, title = re.search(r"[a-z]+", info), re.search(r'title="([^"]*)"', info)
            yield Block(kind[0] if kind else "", title[1] if title else "", tuple(inside), f"{page.name}:{start}")
        elif mark:
            inside.append(line)


def course_copy(folder: Path) -> Path:
    """The shipped course in a folder of its own, as a trainer has it."""
    for name in ("course", "overrides"):
        shutil.copytree(REPOSITORY / name, folder / name)
    shutil.copy(REPOSITORY / "mkdocs.yml", folder)
    return folder


@dataclass(slots=True)
class Reader:
    """Does what a page says in a copy of the course."""

    folder: Path
    told: Told
    written: dict[str, str] = field(default_factory=dict)
    """The reader's own files by name."""
    printed: str = ""
    wrong: Block | None = None
    right: Block | None = None
    commands: dict[str, Callable[[list[str]], None]] = field(default_factory=dict)
    """Other words than quizgen that a page types."""

    def follow(self, page: Path) -> None:
        for block in blocks(page):
            if block.title == "wrong":
                self.wrong = block
            elif block.title == "right":
                self.right = block
            elif block.title == "before":
                self.wrong = block
            elif block.title == "after":
                self.change(block)
            elif block.title.endswith(", added"):
                name = block.title.removesuffix(", added")
                self.write(name, self.written[name] + "\n" + _text(block))
            elif block.kind == "yaml" and block.title.startswith("course/"):
                self.write(block.title, _text(block))
            elif block.kind == "md" and block.title.startswith("course/"):
                self.add_to_page(block)
            elif block.kind == "sh":
                self.type(block)
            elif block.kind == "text" and self.wrong and self.right:
                self.mistake(block)
            elif block.kind == "text":
                agree(block, self.printed)
            else:
                raise AssertionError(f"{block.place}: nobody knows what to do with this block")

    def write(self, name: str, text: str) -> None:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        assert name in self.written or not path.exists(), f"{name} is a file of the course"
        path.write_text(text, encoding="utf-8")
        self.written[name] = text

    def add_to_page(self, block: Block) -> None:
        path = self.folder / block.title
        there = path.read_text(encoding="utf-8").splitlines()
        at = -1
        for line in block.lines:
            if line == "…":
                continue
            if line in there[at + 1 :]:
                at = there.index(line, at + 1)
            else:
                assert at >= 0, f"{block.place}: the first line must stand on the page"
                at += 1
                there.insert(at, line)
        path.write_text("\n".join(there) + "\n", encoding="utf-8")

    def type(self, block: Block) -> None:
        self.printed = ""
        for line in block.lines:
            words = shlex.split(line)
            if words[0] == "quizgen":
                code = cli.main(words[1:])
                said = self.told()
                assert code == 0, f"{block.place}: {line}: {said}"
                self.printed += said
            elif words == ["python3", "start.py", "build"]:
                self.build()
            else:
                self.commands[words[0]](words[1:])
                self.printed += self.told()

    def build(self) -> Path:
        """The strict build that `start.py build` runs."""
        config = load_config(str(self.folder / "mkdocs.yml"), strict=True, site_dir=str(self.folder / "site"))
        config.plugins.on_startup(command="build", dirty=False)
        build(config)
        self.told()
        return self.folder / "site"

    def home_of(self, block: Block) -> str:
        """The name of the reader's one file that holds these lines once."""
        homes = [name for name, text in self.written.items() for _ in range(text.count(_text(block)))]
        assert len(homes) == 1, f"{block.place}: these lines stand in {homes}"
        return homes[0]

    def change(self, block: Block) -> None:
        assert self.wrong
        name = self.home_of(self.wrong)
        self.write(name, self.written[name].replace(_text(self.wrong), _text(block)))
        self.wrong = None

    def mistake(self, block: Block) -> None:
        assert self.wrong and self.right
        name = self.home_of(self.right)
        path = self.folder / name
        path.write_text(self.written[name].replace(_text(self.right), _text(self.wrong)), encoding="utf-8")
        code = cli.main(["check"])
        said = self.told().splitlines()
        path.write_text(self.written[name], encoding="utf-8")
        assert code == 1 and SUMMARY.fullmatch(said[-1]), f"{block.place}: {said}"
        agree(block, "\n".join(said[:-1]))
        self.wrong = self.right = None


def _text(block: Block) -> str:
    return "\n".join(block.lines) + "\n"


def agree(block: Block, printed: str) -> None:
    """Raise AssertionError unless the block shows what was printed."""
    there = [line.rstrip() for line in re.sub("[\u00a0\u202f]", " ", printed).splitlines()]
    at, parts = 0, _parts(block.lines)
    for number, part in enumerate(parts):
        if number and number == len(parts) - 1:  # what stands last on the page is printed last
            at = max(at, len(there) - len(part))
        while number and at + len(part) <= len(there) and not _same(part, there[at:]):
            at += 1
        assert _same(part, there[at:]), "\n".join([f"{block.place} shows", *part, "but this is printed", printed])
        at += len(part)
    assert at == len(there), "\n".join([f"{block.place}: more is printed", *there[at:]])


def _parts(lines: tuple[str, ...]) -> list[list[str]]:
    """The lines between `…` lines."""
    made: list[list[str]] = [[]]
    for line in lines:
        if line.strip() == "…":
            made.append([])
        else:
            made[-1].append(line.rstrip())
    return made


def _same(shown: list[str], there: list[str]) -> bool:
    return len(there) >= len(shown) and all(
        printed.startswith(line[:-1]) if line.endswith("…") else printed == line
        for line, printed in zip(shown, there, strict=False)
    )

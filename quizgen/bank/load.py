"""From a folder of bank files to a Bank, with every fault of every file in one run."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from quizgen.bank.collector import paused_collector
from quizgen.bank.entry import Partial
from quizgen.bank.faults import BankError, Fault, Place, near, quoted
from quizgen.bank.fields import bad_id
from quizgen.bank.models import Bank, Chain, Course, Formula, Module, Outcome, Quantity, Question, Source, Table
from quizgen.bank.read_chain import ChainReader
from quizgen.bank.read_course import check_needs, read_course, read_module, read_source
from quizgen.bank.read_formulas import FormulaReader
from quizgen.bank.read_pictures import PictureReader
from quizgen.bank.read_plans import check_evidence, read_plans
from quizgen.bank.read_policy import read_evidence, read_tiers
from quizgen.bank.read_quantities import read_quantity
from quizgen.bank.read_questions import QuestionReader
from quizgen.bank.read_tables import TableReader
from quizgen.bank.read_terms import read_terms
from quizgen.bank.yaml_reader import Listing, Mapping, Text, read_file
from quizgen.expression.units import unit_list

TRACING = ("healthy", "parts", "workshop", "tests", "faults", "cases")
"""Sections that are read by the room of fault tracing; the bank keeps their entries as written."""

SECTIONS = (
    "course",
    "modules",
    "sources",
    "quantities",
    "formulas",
    "tables",
    "questions",
    "examples",
    "terms",
    "chain",
    "evidence",
    "tiers",
    "pictures",
    "papers",
    *TRACING,
)
MAX_FILES = 2000

Found = tuple[Text, Mapping, Path]


def bank_files(folder: Path) -> list[Path]:
    """The YAML files of a bank in a fixed order; hidden and editor files are passed over."""
    found = [
        path
        for path in folder.rglob("*")
        if path.suffix.lower() in (".yml", ".yaml")
        and not any(part.startswith(".") for part in path.relative_to(folder).parts)
    ]
    return sorted(found, key=lambda path: path.relative_to(folder).as_posix())


def load_bank(course_folder: Path) -> Bank:
    """Read `bank/` in a course folder. Raises BankError with all faults, sorted by place."""
    with paused_collector():
        return _loaded(course_folder)


def _loaded(course_folder: Path) -> Bank:
    folder = course_folder / "bank"
    shown_base = course_folder.name
    faults: list[Fault] = []
    if not folder.is_dir():
        place = Place(f"{shown_base}/bank", 1, 1)
        raise BankError((Fault(place, "", "no bank here: expected a folder bank/ with course.yml in it"),))
    paths = bank_files(folder)
    if len(paths) > MAX_FILES:
        place = Place(f"{shown_base}/bank", 1, 1)
        raise BankError((Fault(place, "", f"more than {MAX_FILES} files: is this the right folder?"),))
    sections, whole = _sections(paths, folder, shown_base, faults)
    if not whole:
        faults = Partial(faults)
    bank = _build(sections, folder, shown_base, faults, tuple(p.relative_to(folder).as_posix() for p in paths))
    if faults or bank is None:
        raise BankError(tuple(sorted(set(faults))))
    return bank


def _sections(
    paths: Iterable[Path], folder: Path, shown_base: str, faults: list[Fault]
) -> tuple[dict[str, list[Found]], bool]:
    """Named entries of each section over all files, doubles refused; False if something could not be read."""
    sections: dict[str, list[Found]] = {name: [] for name in SECTIONS}
    whole = True
    inside = Path(os.path.realpath(folder))
    for path in paths:
        shown = f"{shown_base}/bank/{path.relative_to(folder).as_posix()}"
        if not Path(os.path.realpath(path)).is_relative_to(inside):
            faults.append(Fault(Place(shown, 1, 1), "", "this file leads out of the bank's folder: copy it in"))
            whole = False
            continue
        top, found = read_file(path, shown)
        faults += found
        whole &= top is not None
        for key, value in top.pairs if top else ():
            if key.value not in SECTIONS:
                said = near(key.value, SECTIONS) or f" Expected: {', '.join(SECTIONS)}."
                faults.append(Fault(key.place, "", f"{quoted(key.value)} is no section of a bank.{said}"))
                whole = False
            elif not isinstance(value, Mapping):
                if not (isinstance(value, Text) and not value.value.strip()):
                    faults.append(Fault(value.place, "", f"{key.value}: holds named entries, one a line with a colon"))
                    whole = False
            elif key.value in ("course", "chain"):
                sections[key.value].append((key, value, path))
            else:
                for name, entry in value.pairs:
                    if isinstance(entry, Mapping):
                        sections[key.value].append((name, entry, path))
                    else:
                        said = f"{key.value}: an entry holds fields, each on a line of its own below its name"
                        faults.append(Fault(entry.place, name.value, said))
                        whole = False
    for section, entries in sections.items():
        _refuse_doubles(section, entries, faults)
    return sections, whole


_ONE = {"quantities": "quantity", "evidence": "piece of evidence", "healthy": "stage", "workshop": "set-up"}
"""What one entry of a section is called, where it is not the section's name without its s."""


def _refuse_doubles(section: str, entries: list[Found], faults: list[Fault]) -> None:
    first: dict[str, Place] = {}
    for name, _, _ in entries:
        if name.value in first:
            one = _ONE.get(section, section[:-1])
            what = f"the {section}" if section in ("course", "chain") else one
            said = f"{what} {quoted(name.value)} stands already at {first[name.value]}: use another id"
            faults.append(Fault(name.place, name.value, said))
        first.setdefault(name.value, name.place)


def _build(
    sections: dict[str, list[Found]],
    folder: Path,
    shown_base: str,
    faults: list[Fault],
    files: tuple[str, ...],
) -> Bank | None:
    course: Course | None = None
    if sections["course"]:
        course = read_course(sections["course"][0][1], faults)
    elif not isinstance(faults, Partial):
        place = Place(f"{shown_base}/bank/course.yml", 1, 1)
        faults.append(Fault(place, "", "no course: here: add course.yml with course:, id: and title:"))
    units = unit_list(course.currency if course else "")
    modules: dict[str, Module] = {}
    outcomes: dict[str, Outcome] = {}
    for id, node, _ in sections["modules"]:
        module, named = read_module(id, node, faults)
        modules[module.id] = module
        for outcome in named:
            if outcome.id in outcomes:
                said = f"outcome {quoted(outcome.id)} stands in module {outcomes[outcome.id].module} already"
                faults.append(Fault(outcome.place, module.id, said))
            outcomes[outcome.id] = outcome
    check_needs(((id, node) for id, node, _ in sections["modules"]), modules, faults)
    sources: dict[str, Source] = {id.value: read_source(id, node, faults) for id, node, _ in sections["sources"]}
    quantities: dict[str, Quantity] = {
        id.value: read_quantity(id, node, units, faults) for id, node, _ in sections["quantities"]
    }
    broken: set[str] = set()
    formula_reader = FormulaReader(units, quantities, sources, faults)
    formulas: dict[str, Formula] = {}
    for id, node, _ in sections["formulas"]:
        before = len(faults)
        formulas[id.value] = formula_reader.read(id, node)
        broken |= {id.value} if len(faults) > before else set()
    table_reader = TableReader(units, quantities, sources, faults, folder)
    tables: dict[str, Table] = {}
    for id, node, path in sections["tables"]:
        before = len(faults)
        tables[id.value] = table_reader.read(id, node, path)
        broken |= {id.value} if len(faults) > before else set()
    if isinstance(faults, Partial):
        broken |= {*formulas, *tables}
    for both in tables.keys() & formulas.keys():
        said = f"{quoted(both)} is a formula already: give the table another id"
        faults.append(Fault(tables[both].place, both, said))
        broken.add(both)
    chain: Chain | None = None
    if sections["chain"]:
        chain = ChainReader(units, quantities, modules, faults).read(sections["chain"][0][1])
    reader = QuestionReader(units, quantities, formulas, tables, outcomes, modules, sources, faults, broken, chain)
    questions: dict[str, Question] = {}
    for id, node, _ in sections["questions"]:
        question = reader.read(id, node)
        if question:
            questions[question.id] = question
    examples: dict[str, Question] = {}
    for id, node, _ in sections["examples"]:
        example = reader.read_example(id, node)
        if example:
            examples[example.id] = example
    drawn = PictureReader(reader, faults)
    pictures = {id.value: picture for id, node, _ in sections["pictures"] if (picture := drawn.read(id, node))}
    terms = read_terms(((id, node) for id, node, _ in sections["terms"]), faults)
    evidence = read_evidence(((id, node) for id, node, _ in sections["evidence"]), faults)
    tiers = read_tiers(((id, node) for id, node, _ in sections["tiers"]), evidence, faults)
    plans = read_plans(((id, node) for id, node, _ in sections["papers"]), questions, modules, outcomes, faults)
    check_evidence(((id, node) for id, node, _ in sections["evidence"]), plans, faults)
    _refuse_old_ids(((id, node) for id, node, _ in sections["questions"]), faults)
    if course is None:
        return None
    return Bank(
        course,
        units,
        modules,
        outcomes,
        sources,
        quantities,
        formulas,
        tables,
        questions,
        examples,
        terms,
        files,
        chain,
        evidence,
        tiers,
        pictures,
        plans,
        {name: tuple((id, node) for id, node, _ in sections[name]) for name in TRACING},
    )


def _refuse_old_ids(found: Iterable[tuple[Text, Mapping]], faults: list[Fault]) -> None:
    """A former id leads to one question only, and not to one that still exists."""
    questions = list(found)
    existing = {id.value for id, _ in questions}
    taken: dict[str, str] = {}
    for id, node in questions:
        was = node.get("was")
        for line in was.items if isinstance(was, Listing) else (was,):
            old = line.value.strip() if isinstance(line, Text) else ""
            if not isinstance(line, Text) or not old:
                continue
            if why := bad_id(old):
                said = f"was: {why}"
            elif old in existing:
                said = f"was: {quoted(old)} is a question that still exists"
            elif old in taken:
                said = f"was: {quoted(old)} is claimed by {taken[old]} too"
            else:
                taken[old] = id.value
                continue
            faults.append(Fault(line.place, id.value, said))

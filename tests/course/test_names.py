"""One name for one thing across the course: what pages, questions and terms call by another name is a fault."""

import re
from pathlib import Path

import pytest

from quizgen.bank.models import Formula
from quizgen.web.glossary import mark_terms
from tests.once import shipped_bank

COURSE = Path(__file__).parents[2] / "course"
BANK = shipped_bank()
ONE_NAME = {
    "choke": r"\b(smoothing|series) inductor\b|\breactor\b",
    "pre-charge": r"\bprecharge\b|\bpre charge\b",
    "DC link": r"\bDC-link\b|\blink capacitor bank\b|\bintermediate circuit\b",
    "insulation monitor": r"\bIMD\b|\bisolation monitor\b|\binsulation monitoring device\b",
    "star point": r"\bneutral point of the (motor|machine|windings)\b|\bcommon point of the windings\b",
    "boost stage": r"\bboost converter\b|\bstep-up (converter|stage)\b|\bboost chopper\b",
    "lower switch": r"\blow-side switch\b|\bbottom switch\b",
    "upper switch": r"\bhigh-side switch\b|\btop switch\b",
    "effective value": r"\bRMS\b|\broot mean square\b",
    "protective earth": r"\bground wire\b|\bprotective ground\b",
    "indicator": r"\bvoltage tester\b|\bvoltage detector\b|\bdead tester\b",
    "pilot": r"\bcontrol pilot\b",
    "phase relay": r"\bline relay\b|\bmains relay\b",
    "van": r"\bcars?\b",
    "charging point": r"\b[Cc]harging stations?\b|\b[Cc]harge points?\b|\b[Ww]all ?box(es)?\b|\bwall units?\b",
    "supply contactor": r"\bmains contactor\b",
    "2π as a turn of a circle": r"\bradians? per second\b",
    "controller": r"\b[Cc]ontrol units?\b|\bECUs?\b",
    "driver of the switch": r"\bgate drivers?\b",
    "12 V side": r"\b12 V (supply|system|network)\b",
    "terminating resistor": r"\b[Tt]erminators?\b",
    "positive or negative contactor": r"\b([Pp]lus|[Mm]inus) contactor\b",
    "pre-charge relay": r"\b[Pp]re-charge contactor\b",
    "balance control": r"\b[Bb]alance loop\b",
    "coil of the filter": r"\bfilter choke\b",
    "NTC": r"\bthermistors?\b",
    "live work": r"\b[Ll]ive operation\b",
    "link": r"\b(loads?|keeps|[Jj]oined to) the bus\b|\b[Tt]he bus (stop|climb|rise|fall|sag)s\b",
    "unit signs": r"\d (milliohms?|kilohms?|ohms?|volts?|amperes?|watts?)\b",
    "colour": r"\bcolor\b",
    "British spelling": r"\b(center|behavior|labeled|meters long|analyze|fiber|aluminum)\b",
}
"""The course's name, and what it would be called elsewhere."""


NO_PROSE = re.compile(r"\s*(#|- thermistor |fault:|(- )?[\w-]+:?$)")
"""Lines of a data file that hold a note, an id or the kind of a drawing's part."""


def texts():
    """Everything a learner reads: prose of the pages without code and drawings, and the words of the bank."""
    for page in sorted((COURSE / "pages").rglob("*.md")):
        prose = re.sub(
            r"```.*?```|<svg.*?</svg>|`[^`]*`|\]\([^)]*\)", " ", page.read_text(encoding="utf-8"), flags=re.DOTALL
        )
        yield page.name, prose
    for question in BANK.questions.values():
        parts = [part for part in question.text if isinstance(part, str)]
        parts += [word for option in question.options for word in (option.option, option.says)]
        parts += [*question.order, *(says for _, _, says in question.order_says), question.right_says]
        parts += [part for step in question.steps for part in step.ask if isinstance(part, str)]
        yield question.id, " ".join(parts)
    for law in (*BANK.formulas.values(), *BANK.tables.values()):
        held = [law.holds_for] if isinstance(law, Formula) else []
        yield law.id, " ".join([law.title, *held, *(slip.says for slip in law.slips)])
    for folder in ("tracing", "pictures", "tables"):
        for file in sorted((COURSE / "bank" / folder).rglob("*.yml")):
            lines = file.read_text(encoding="utf-8").splitlines()
            yield file.name, "\n".join(line for line in lines if not NO_PROSE.match(line))
    for stage in BANK.chain.stages.values() if BANK.chain else ():
        yield stage.id, f"{stage.name} {stage.does}"
    for module in BANK.modules.values():
        yield module.id, " ".join([module.title, *(BANK.outcomes[id].says for id in module.outcomes)])


@pytest.mark.parametrize("name", ONE_NAME)
def test_a_thing_has_one_name(name):
    """A term's own entry may name what others say; nothing else does."""
    found = [f"{where}: {hit[0]}" for where, text in texts() for hit in re.finditer(ONE_NAME[name], text)]
    assert found == []


def test_every_word_of_the_glossary_stands_in_the_course():
    whole = " ".join(text for _, text in texts()).lower()
    unused = [
        term.id for term in BANK.terms.values()
        if not any(spelling.lower() in whole for spelling in (term.term, *term.also))
    ]  # fmt: skip
    assert unused == []


EVERYDAY = {
    "count",
    "counts",
    "bridge",
    "bridges",
    "lead",
    "leads",
    "log",
    "logs",
    "means",
    "stage",
    "point",
    "points",
    "poles",
    "trip",
    "rise",
}


def test_no_word_of_the_glossary_is_one_that_pages_also_use_for_something_else():
    """A term is explained wherever its spelling first stands; 'the label counts' is no number of a converter."""
    spelled = {spelling.lower() for term in BANK.terms.values() for spelling in (term.term, *term.also)}
    assert spelled & EVERYDAY == set()


@pytest.mark.parametrize(
    ("text", "explained"),
    [
        ("Log instead of ln: two keys side by side.", []),
        ("The log keeps the reading.", []),
        ("You read the log of the controller. The log says when.", ["log of the controller"]),
        ("Codes and charge log are read with covers on.", ["charge log"]),
    ],
)
def test_the_log_of_a_controller_is_explained_and_no_other_log(text: str, explained: list[str]) -> None:
    html = mark_terms(f"<p>{text}</p>", {"log": BANK.terms["log"]})
    assert re.findall(r'aria-describedby="term-log">(.*?)<span', html) == explained

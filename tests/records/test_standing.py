"""Who stands where on a day, and why: evidence, its end, suspensions, tiers that rest on others."""

from datetime import date, timedelta

import pytest

from quizgen.records import ledger, report
from quizgen.records.days import after_months
from quizgen.records.ledger import RegisterError
from quizgen.records.standing import CURRENT, DUE, EXPIRED, OPEN, SUSPENDED, awarded

DAY = date(2026, 1, 12)


def tier(shop, code, id, on=DAY):
    with ledger.reading(shop.folder) as connection:
        data = report.report(connection, shop.course, on)
    one = next(one for one in data["people"] if one["code"] == code)
    return next(found for found in one["tiers"] if found["tier"] == id)


def instruct(shop, code="A-07"):
    shop.observe(code, of="made-safe-round")
    shop.appoint(code, of="appointed-instructed")


def pass_paper(shop, code, plan, number="P1", passed=True, kind="mark"):
    """What marking a paper enters: awards only where it was passed."""
    evidence = next(one for one in shop.course.evidence.values() if one.paper == plan)
    awards = [awarded(evidence, DAY)] if passed else []
    body = {"number": number, "plan": plan, "day": DAY.isoformat(), "verdict": "passed" if passed else "not passed",
            "awards": awards}  # fmt: skip
    shop.write(lambda pen: pen.add(kind, pen.person(code), body))


def isolate(shop, code="A-07"):
    instruct(shop, code)
    pass_paper(shop, code, "safety-gate")
    shop.observe(code)
    shop.observe(code, of="rescue-course")
    shop.appoint(code)


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        ("2024-01-31", 1, "2024-02-29"), ("2024-02-29", 12, "2025-02-28"), ("2024-02-29", 48, "2028-02-29"),
        ("2025-08-31", 6, "2026-02-28"), ("2025-12-31", 2, "2026-02-28"), ("2026-01-12", 12, "2027-01-12"),
    ],
)  # fmt: skip
def test_months_end_on_the_same_day_or_the_last_of_the_month(start, months, end):
    assert after_months(date.fromisoformat(start), months) == date.fromisoformat(end)


def test_nothing_recorded_is_not_complete_and_every_missing_thing_is_named(shop):
    shop.observe("A-07")
    found = tier(shop, "A-07", "isolates")
    assert found["state"] == OPEN
    assert found["why"] == [
        "missing: Safety gate paper passed", "missing: First aid and rescue course",
        "missing: Appointed for isolating and proving dead", "not complete: Instructed",
    ]  # fmt: skip


def test_all_evidence_makes_a_tier_current_until_the_first_of_it_ends(shop):
    isolate(shop)
    assert tier(shop, "A-07", "isolates") == {
        "tier": "isolates", "code": "T2", "title": "Isolates and proves dead", "state": CURRENT,
        "until": "2027-01-12", "why": [],
    }  # fmt: skip


def test_a_paper_alone_opens_nothing(shop):
    pass_paper(shop, "A-07", "safety-gate")
    assert {tier(shop, "A-07", id)["state"] for id in shop.course.tiers} == {OPEN}


def test_the_last_day_still_counts_and_the_day_after_does_not(shop):
    isolate(shop)
    assert tier(shop, "A-07", "isolates", date(2027, 1, 12))["state"] == DUE
    gone = tier(shop, "A-07", "isolates", date(2027, 1, 13))
    assert gone["state"] == EXPIRED and gone["until"] is None
    assert "ran out on 2027-01-12: Safety gate paper passed" in gone["why"]


def test_due_soon_starts_sixty_days_before_the_end(shop):
    isolate(shop)
    end = date(2027, 1, 12)
    assert tier(shop, "A-07", "isolates", end - timedelta(days=61))["state"] == CURRENT
    assert tier(shop, "A-07", "isolates", end - timedelta(days=60))["state"] == DUE


def test_a_suspension_stops_its_tier_and_those_that_rest_on_it(shop):
    isolate(shop)
    entry = shop.add("suspension", "A-07", tier="instructed", why="seen inside the marked zone")
    assert tier(shop, "A-07", "instructed")["state"] == SUSPENDED
    assert tier(shop, "A-07", "isolates")["why"] == ["suspended: Instructed"]
    shop.add("renewal", "A-07", lifts=str(entry.seq), note="talked through, seen again")
    assert tier(shop, "A-07", "isolates")["state"] == CURRENT


def test_a_suspension_without_a_tier_stops_all_and_says_why(shop):
    isolate(shop)
    shop.add("suspension", "A-07", why="medical clearance open", until="2026-02-01")
    stopped = tier(shop, "A-07", "finds-faults")
    assert stopped["state"] == SUSPENDED and "medical clearance open" in stopped["why"][0]
    assert tier(shop, "A-07", "isolates", date(2026, 2, 2))["state"] == CURRENT


def test_a_renewal_counts_from_its_own_day(shop):
    isolate(shop)
    shop.clock += timedelta(days=300)
    shop.add("renewal", "A-07", of="isolation-seen")
    with ledger.reading(shop.folder) as connection:
        last = list(ledger.recorded(connection))[-1].body
    assert last["awards"] == [{"evidence": "isolation-seen", "until": "2027-11-08"}]


def test_a_changed_policy_changes_nothing_that_was_awarded(shop):
    from dataclasses import replace

    isolate(shop)
    longer = {id: replace(one, months=120) for id, one in shop.course.evidence.items()}
    shop.course = replace(shop.course, evidence=longer)
    assert tier(shop, "A-07", "isolates")["until"] == "2027-01-12"


def test_a_paper_marked_again_counts_as_it_was_marked_last(shop):
    isolate(shop)
    pass_paper(shop, "A-07", "safety-gate", passed=False, kind="remark")
    assert tier(shop, "A-07", "isolates")["why"] == ["missing: Safety gate paper passed"]


def test_due_lists_what_runs_out_soonest_first(shop):
    isolate(shop)
    instruct(shop, "A-08")
    with ledger.reading(shop.folder) as connection:
        data = report.report(connection, shop.course, date(2026, 12, 1))
        assert [(one["person"], one["tier"]) for one in report.due(data, 60)] == [
            ("A-07", "instructed"), ("A-08", "instructed"), ("A-07", "isolates"),
        ]  # fmt: skip
        assert report.due(data, 20) == []


@pytest.mark.parametrize(
    ("kind", "more", "says"),
    [
        ("observation", {"of": "isolation-seen", "saw": ""}, "--saw"),
        ("observation", {"of": "gate-paper", "saw": "x"}, "no observation of the policy"),
        (
            "observation",
            {"of": "isolation-seen", "saw": "x", "role": "driver"},
            "given by senior technician or trainer",
        ),
        ("observation", {"of": "isolation-seen", "saw": "x", "on": "2026-02-30"}, "no day"),
        ("observation", {"of": "isolation-seen", "saw": "x", "on": "2027-02-01"}, "in the future"),
        ("observation", {"of": "isolation-seen", "saw": "x", "by": " "}, "--by"),
        ("observation", {"of": "isolation-seen", "saw": "x\x1b[31m"}, "all of them visible"),
        ("suspension", {"why": ""}, "--why"),
        ("suspension", {"why": "x", "tier": "none"}, "no tier"),
        ("suspension", {"why": "x", "until": "2025-01-01"}, "before the day it starts"),
        ("renewal", {"of": "isolation-seen"}, "was never given to A-07"),
        ("renewal", {"lifts": "99"}, "no suspension that stands"),
        ("appointment", {"of": "appointed-isolation", "role": "trainer"}, "given by workshop manager"),
    ],
)
def test_what_is_not_whole_is_refused_and_nothing_is_kept(shop, kind, more, says):
    with pytest.raises(RegisterError, match=says):
        shop.add(kind, "A-07", **more)
    with ledger.reading(shop.folder) as connection:
        assert len(list(ledger.recorded(connection))) == 1 and ledger.people(connection) == {}


@pytest.mark.parametrize("code", ["", "A 7", "../A", "a" * 21, "<b>", "Ä1", "-7"])
def test_a_code_that_is_none_is_refused(shop, code):
    with pytest.raises(RegisterError, match="no code"):
        shop.observe(code)


def test_a_mistyped_code_makes_no_new_person(shop):
    shop.observe("A-07")
    with pytest.raises(RegisterError, match="Did you mean A-07"):
        shop.observe("A-O7", new=False)

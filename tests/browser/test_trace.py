"""Cases of fault tracing played in a browser: perfect, wasteful, wrong, unsafe; figures are the Python model's."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from quizgen.bank.load import load_bank
from quizgen.cache import Cache
from quizgen.tracing import after, compile_tracing, done, read_tracing, regret, start, unsafe
from quizgen.tracing.play import ISOLATE, minutes

ROOT = Path(__file__).parents[2]
CASES = ("nothing-happens", "cable-at-home", "slow-after-lunch", "one-socket-works", "half-wave", "no-precharge",
         "star-side-leak")  # fmt: skip


@pytest.fixture(scope="module")
def cases() -> dict[str, dict]:
    tracing, faults = read_tracing(load_bank(ROOT / "course"))
    assert not faults
    compiled, unsolved = compile_tracing(tracing, Cache(None))
    assert not unsolved
    return compiled["cases"]


@pytest.fixture
def opened(page, course_site):
    page.set_viewport_size({"width": 320, "height": 800})
    page.goto((course_site / "tracing.html").as_uri())

    def case(id: str):
        found = page.locator(f"#case-{id}")
        found.locator(".qz-trace button").first.wait_for()
        return found

    return case


def act(section, case, action: str) -> None:
    if action == ISOLATE:
        section.locator(f'[data-test="{ISOLATE}"]').click()
        for at in range(8):
            step = section.locator(f'[data-step="{at}"]')
            if not step.count():
                break
            step.click()
        return
    test = next(t for t in case["tests"] if t["id"] == action)
    section.locator(f'input[value="{test["needs"]}"]').check()
    section.locator(f'[data-test="{action}"]').click()


def name(section, part: str, proof: str = "") -> None:
    section.locator("[data-pick=part]").select_option(part)
    section.locator("[data-pick=proof]").select_option(proof)
    section.locator("[data-act=name]").click()


def follow(section, case, standing, actions):
    """Play these and the rest of the best order; gives minutes spent, minutes lost, and where it ended."""
    true = [s["id"] for s in case["suspects"]].index(case["fault"])
    paid = lost = 0.0
    waiting = list(actions)
    while not done(case, standing):
        action = waiting.pop(0) if waiting else case["values"][standing.key()][1]
        act(section, case, action)
        paid += minutes(case, standing, action)
        lost += regret(case, standing, action)
        standing = next(s for s in after(case, standing, action) if s.suspects >> true & 1)
        if action == ISOLATE and not standing.dead:
            break
    return paid, lost, standing


def true_part(case) -> str:
    return next(s["part"] for s in case["suspects"] if s["id"] == case["fault"])


def words(value: float) -> str:
    near = abs(value - round(value)) < 0.05
    return f"{round(value) if near else f'{value:.1f}'}\u00a0min"


def check(section, case, paid, lost) -> str:
    assert float(section.locator("[data-lost]").get_attribute("data-lost")) == pytest.approx(lost, abs=1e-3)
    said = section.locator(".qz-trace").inner_text()
    assert f"You spent {words(paid)}" in said
    assert f"takes {words(case['minutes'])} on average" in said
    assert f"{words(sum(cost for _, cost in case['path']))} for this van" in said
    return said


@pytest.mark.parametrize("id", CASES)
def test_the_best_order_is_proved_and_loses_nothing(opened, cases, id) -> None:
    section, case = opened(id), cases[id]
    paid, lost, _ = follow(section, case, start(case), [])
    assert lost == pytest.approx(0, abs=1e-4)
    steps = section.locator(".qz-trace-log > li").count()
    name(section, true_part(case), str(steps - 1))
    said = check(section, case, paid, lost)
    assert "Right part." in said and "Changed without proof" not in said
    assert "more than the best choice" not in said


@pytest.mark.parametrize("id", CASES)
def test_waste_is_told_decision_by_decision(opened, cases, id) -> None:
    section, case = opened(id), cases[id]
    standing = start(case)
    safe = [t["id"] for t in case["tests"] if not unsafe(case, standing, t["id"])]
    worst = max(safe, key=lambda one: regret(case, standing, one))
    paid, lost, _ = follow(section, case, standing, [worst, worst])
    assert lost > 1
    name(section, true_part(case), "0")
    said = check(section, case, paid, lost)
    assert "Better:" in said and "Told nothing:" in said


@pytest.mark.parametrize("id", CASES)
def test_a_part_named_at_once_is_called_a_guess_with_its_cost(opened, cases, id) -> None:
    section, case = opened(id), cases[id]
    wrong = next(part for part in case["parts"] if part != true_part(case))
    name(section, wrong)
    said = check(section, case, 0, 0)
    assert "Wrong part." in said and "Changed without proof." in said
    assert words(case["minutes"]) + " on average from there" in said


@pytest.mark.parametrize("id", CASES)
def test_a_dead_test_before_isolating_ends_the_case_and_it_can_begin_again(opened, cases, id) -> None:
    section, case = opened(id), cases[id]
    dead = next(t["id"] for t in case["tests"] if t["needs"] == "dead")
    act(section, case, dead)
    said = section.locator(".qz-trace").inner_text()
    assert "The case ends here" in said and "Right order:" in said and "It is:" not in said
    section.locator("[data-act=again]").click()
    assert section.locator(".qz-trace-clock").inner_text().startswith("0\u00a0min")
    assert section.locator(".qz-trace-log > li").count() == 0


def test_a_charge_attempt_with_a_leak_in_question_ends_the_case(opened, cases) -> None:
    case = cases["half-wave"]
    test = next(t["id"] for t in case["tests"] if unsafe(case, start(case), t["id"]).startswith("A charge"))
    section = opened("half-wave")
    act(section, case, test)
    assert "This is a charge attempt" in section.locator(".qz-trace").inner_text()


def test_proving_dead_that_fails_asks_for_a_stop(opened, cases) -> None:
    section = opened("must-stop")
    act(section, cases["must-stop"], ISOLATE)
    expect(section.get_by_role("status")).to_contain_text("A voltage to the chassis stays")
    section.locator("[data-act=stop]").click()
    assert "Right: stop." in section.locator(".qz-trace").inner_text()


def test_steps_of_isolating_out_of_order_are_refused_and_counted(opened, cases) -> None:
    section = opened("star-side-leak")
    section.locator(f'[data-test="{ISOLATE}"]').click()
    section.locator('[data-step="5"]').click()
    expect(section.get_by_role("status")).to_contain_text("Not yet.")
    section.locator("[data-act=back]").click()
    follow(section, cases["star-side-leak"], start(cases["star-side-leak"]), [])
    name(section, "star-cable", "1")
    said = section.locator(".qz-trace").inner_text()
    assert "1 step tried out of order" in said and "Proved." in said


def test_a_part_cleared_while_it_is_a_suspect_is_named(opened, cases) -> None:
    section = opened("slow-after-lunch")
    mark = section.locator('[data-part="cooling"]')
    mark.click()
    assert "suspect" in mark.inner_text()
    mark.click()
    name(section, "cooling")
    assert "Cleared too early: cooling circuit and its sensors" in section.locator(".qz-trace").inner_text()


def test_another_van_is_another_fault_of_the_same_complaint(opened, cases, page) -> None:
    case = cases["half-wave"]
    page.evaluate("Math.random = () => 0.999")
    section = opened("half-wave")
    name(section, true_part(case))
    section.locator("[data-act=fresh]").click()
    name(section, true_part(case))
    assert case["suspects"][-1]["name"] in section.locator(".qz-trace").inner_text()


def test_the_case_fits_a_narrow_page_and_is_kept(opened, page, cases) -> None:
    section = opened("cable-at-home")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    follow(section, cases["cable-at-home"], start(cases["cable-at-home"]), [])
    name(section, "supply-cable", "0")
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    kept = page.evaluate("Object.entries(localStorage).filter(([key]) => key.endsWith('/case-cable-at-home'))")
    assert len(kept) == 1 and '"right":1' in kept[0][1]


def test_the_keyboard_alone_does_a_test(opened, page) -> None:
    section = opened("cable-at-home")
    section.locator('input[value="any"]').focus()
    page.keyboard.press("Space")
    section.locator('[data-test="cable-coding"]').focus()
    page.keyboard.press("Enter")
    expect(section.get_by_role("status")).to_contain_text("PP to PE 680\u00a0Ω (healthy: 220\u00a0Ω).")
    assert section.locator("[role=status]").bounding_box()["y"] < 800


def test_without_script_the_case_is_whole(chromium, course_site) -> None:
    page = chromium.new_context(java_script_enabled=False).new_page()
    page.goto((course_site / "tracing.html").as_uri())
    section = page.locator("#case-half-wave")
    section.locator(".qz-paper-tests summary").click()
    assert section.locator(".qz-paper-tests tbody tr").count() > 20
    assert not section.locator(".qz-sealed li").first.is_visible()
    page.context.close()


def test_other_pages_load_no_script_of_tracing(page, course_site) -> None:
    page.goto((course_site / "repair.html").as_uri())
    assert page.locator('script[src*="trace."]').count() == 0

"""The best order of tests against published problems and against trying everything."""

import itertools
import random
from fractions import Fraction as F

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quizgen.tracing.order import INFINITE, ISOLATE, Order, State, Step, Workshop, fixed_order, masks


def workshop(weights, rows, minutes=None, **more):
    """Tests t1, t2, … from what every suspect shows; each suspect its own part unless `parts` is given."""
    n = len(weights)
    minutes = minutes or [1] * len(rows)
    steps = tuple(Step(f"t{i}", m, o) for i, (m, o) in enumerate(zip(minutes, masks(rows, n), strict=True), 1))
    return Workshop(tuple(weights), more.pop("parts", tuple(range(n))), steps, **more)


def root(made):
    return State((1 << len(made.weights)) - 1)


def chain(weights, minutes=None):
    """A series of modules; a probe after module i tells on which side of it the fault lies."""
    n = len(weights)
    return workshop(weights, [[k > i for k in range(n)] for i in range(n - 1)], minutes)


def decimals(text):
    return [F(part) for part in text.split()]


ROWS = ["00000", "01001", "00110", "10011", "11000", "11110"]
"""Pattipati and Alexandridis, IEEE Trans. SMC 20(4), 1990: what six system states show in five tests."""
PRIORS = decimals("0.70 0.01 0.02 0.10 0.05 0.12")


@pytest.mark.parametrize(
    ("costs", "best", "firsts"),
    [
        ([1, 1, 1, 1, 1], "2.18", "2.86 2.18 2.82 2.18 2.89"),
        ([1, 2, 3, 1, 2], "3.18", "3.86 3.18 5.57 3.18 3.89"),
    ],
)
def test_published_test_sequencing_problem(costs, best, firsts):
    order = Order(workshop(PRIORS, list(zip(*ROWS, strict=True)), costs))
    start = root(order.workshop)
    assert order.minutes(start) == F(best)
    assert [order.with_first(start, f"t{i}") for i in range(1, 6)] == decimals(firsts)
    assert order.regret(start, "t4") == order.regret(start, "t2") == 0
    assert order.regret(start, "t1") == order.with_first(start, "t1") - F(best)


def test_alphabetic_tree_of_a_contest_problem():
    order = Order(chain([1, 2, 3, 4, 9, 3]))
    assert order.minutes(root(order.workshop)) == F(53, 22)
    assert order.best(root(order.workshop)) == "t4"


@pytest.mark.parametrize(
    ("p", "q", "value", "first"),
    [
        ("0.15 0.10 0.05 0.10 0.20", "0.05 0.10 0.05 0.05 0.05 0.10", "2.75", "t2"),
        ("0.04 0.06 0.08 0.02 0.10 0.12 0.14", "0.06 0.06 0.06 0.06 0.05 0.05 0.05 0.05", "3.12", "t5"),
        ("34 8 50", "0 0 0 0", "142", "t3"),
    ],
)
def test_optimal_search_trees_of_a_textbook(p, q, value, first):
    """Cormen, Leiserson, Rivest, Stein: Introduction to Algorithms; its value counts a leaf as one more."""
    p, q = decimals(p), decimals(q)
    order = Order(workshop([w for pair in zip(q, [*p, 0], strict=True) for w in pair][:-1], [
        [(k > 2 * i + 1) - (k < 2 * i + 1) for k in range(2 * len(p) + 1)] for i in range(len(p))
    ]))  # fmt: skip
    start = root(order.workshop)
    whole = sum(p) + sum(q)
    assert order.minutes(start) * whole + sum(q) == F(value)
    assert order.regret(start, first) == 0


def test_every_split_at_one_cost_gives_the_huffman_code():
    weights = decimals("0.45 0.13 0.12 0.16 0.09 0.05")
    splits = [[k >> s & 1 for s in range(6)] for k in range(1, 32)]
    order = Order(workshop(weights, splits))
    assert order.minutes(root(order.workshop)) == F("2.24")


def test_series_check_stops_at_the_first_failure():
    """Three parts fail independently; the check ends as soon as one has failed."""
    fails = {"t1": F("0.125"), "t2": F("0.075"), "t3": F("0.140")}
    states = list(itertools.product([0, 1], repeat=3))
    weights = []
    for state in states:
        weight = F(1)
        for failed, p in zip(state, fails.values(), strict=True):
            weight *= p if failed else 1 - p
        weights.append(weight)
    made = workshop(
        weights, list(zip(*states, strict=True)), decimals("51.75 2.00 52.40"), parts=tuple(int(any(s)) for s in states)
    )
    start = root(made)
    assert float(Order(made).minutes(start)) == pytest.approx(91.6371, abs=5e-5)
    published = {"213": 92.28, "321": 95.2871, "123": 95.9112, "312": 98.41, "132": 99.105, "231": 91.6371}
    for order, value in published.items():
        assert float(fixed_order(made, [f"t{i}" for i in order], start)) == pytest.approx(value, abs=5e-3)


@pytest.mark.parametrize(("n", "worst"), [(2, 1), (10, 16), (12, 21)])
def test_dearest_path_is_least_when_asking_k_costs_k(n, worst):
    """A well-known programming exercise: guess a number, the guess is the price."""
    rows = [[(s > k) - (s < k) for s in range(n)] for k in range(n)]
    order = Order(workshop([1] * n, rows, list(range(1, n + 1))), worst=True)
    assert order.minutes(root(order.workshop)) == worst


def test_five_faults_and_four_tests():
    """Balakrishnan and Semmelbauer 1999: a staircase of readings."""
    rows = list(zip(*["0000", "0001", "0011", "0111", "1111"], strict=True))
    order = Order(workshop([F(1, 5)] * 5, rows))
    assert order.minutes(root(order.workshop)) == F(12, 5)
    assert order.regret(root(order.workshop), "t2") == 0


def setups(live, isolation, places=(1, 2, 3, 4), dead=(1, 2, 3, 4, 5)):
    """Five modules in a row, live probes between them and a dead test of each."""
    probes = [Step(f"L{i}", live, next(masks([[k >= i for k in range(5)]], 5)), "live") for i in places]
    alone = [Step(f"D{i}", 1, next(masks([[k == i - 1 for k in range(5)]], 5)), "dead") for i in dead]
    return Order(Workshop(tuple(decimals("0.30 0.10 0.25 0.15 0.20")), tuple(range(5)), (*probes, *alone), isolation))


@pytest.mark.parametrize(
    ("live", "isolation", "more", "value", "first"),
    [
        (4, 6, {}, "8.4", ISOLATE),
        (4, 3, {}, "5.4", ISOLATE),
        (2, 6, {}, "4.7", "L2"),
        (4, 12, {}, "9.4", "L2"),
        (4, 6, {"dead": ()}, "9.4", "L2"),
        (4, 6, {"places": ()}, "8.4", ISOLATE),
    ],
)
def test_dear_probes_make_isolating_first_worth_while(live, isolation, more, value, first):
    order = setups(live, isolation, **more)
    assert order.minutes(State(31)) == F(value)
    assert order.regret(State(31), first) == 0


def test_values_of_every_first_step_with_isolation():
    order = setups(4, 6)
    dead = State(31, True)
    found = [order.with_first(State(31), f"L{i}") for i in range(1, 5)]
    found += [6 + order.with_first(dead, f"D{i}") for i in range(1, 6)]
    assert found == decimals("9.6 9.4 9.4 10.35 8.4 8.85 8.45 8.7 8.55")
    assert [order.with_first(State(31), "D1"), order.safe(State(31), "D1")] == [INFINITE, False]


def test_chain_with_unequal_probes():
    order = Order(chain(decimals("0.10 0.20 0.30 0.25 0.15"), [3, 1, 4, 2]))
    start = root(order.workshop)
    assert order.minutes(start) == F("5.5")
    assert [order.with_first(start, f"t{i}") for i in range(1, 5)] == decimals("7.5 5.5 6.3 5.95")


def tried(made, state, done=frozenset()):
    """Least expected minutes by trying every plan; no sets of bits shared with the solver, nothing kept."""
    parts = {made.parts[s] for s in range(len(made.weights)) if state.suspects >> s & 1}
    if len(parts) == 1:
        return 0
    best = INFINITE
    weight = sum(made.weights[s] for s in range(len(made.weights)) if state.suspects >> s & 1)
    for step in made.steps:
        if step.id in done:
            continue
        cost, dead, opened = step.minutes, state.dead, set(state.opened)
        if step.needs == "dead" and not dead:
            cost, dead = cost + made.isolation, True
        if step.needs == "live" and dead:
            cost, dead, opened = cost + made.energising, False, set()
        if step.box >= 0 and step.box not in opened:
            cost += made.boxes[step.box]
            opened.add(step.box)
        left = [state.suspects & mask for mask in step.outcomes if state.suspects & mask]
        if len(left) == 1:
            continue
        later = [tried(made, State(s, dead, frozenset(opened)), done | {step.id}) for s in left]
        best = min(best, cost * weight + sum(later))
    return best


def drawn(seed):
    draw = random.Random(seed)
    n, count = draw.randint(2, 6), draw.randint(2, 5)
    rows = [[draw.randint(0, draw.choice([1, 2])) for _ in range(n)] for _ in range(count)]
    steps = tuple(
        Step(f"t{i}", draw.randint(1, 9), o, draw.choice(["live", "dead", "any"]), -1)
        for i, o in enumerate(masks(rows, n))
    )
    steps = tuple(
        Step(s.id, s.minutes, s.outcomes, s.needs, draw.randint(-1, 1) if s.needs == "dead" else -1) for s in steps
    )
    return Workshop(
        tuple(draw.randint(1, 9) for _ in range(n)), tuple(draw.randint(0, n) for _ in range(n)), steps,
        draw.randint(0, 9), draw.randint(0, 9), (draw.randint(0, 9), draw.randint(0, 9)),
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(240))
def test_small_workshops_agree_with_trying_every_plan(seed):
    made = drawn(seed)
    start = root(made)
    weight = sum(made.weights)
    assert Order(made).minutes(start) * weight == tried(made, State(start.suspects, False, frozenset()))


seeds = st.integers(min_value=1000, max_value=10**9)


@given(seeds, st.integers(min_value=2, max_value=7))
@settings(max_examples=60, deadline=None)
def test_values_scale_with_the_costs_and_a_second_copy_of_a_test_changes_nothing(seed, factor):
    made = drawn(seed)
    value = Order(made).minutes(root(made))
    dearer = Workshop(
        made.weights, made.parts,
        tuple(Step(s.id, s.minutes * factor, s.outcomes, s.needs, s.box) for s in made.steps),
        made.isolation * factor, made.energising * factor, tuple(b * factor for b in made.boxes),
    )  # fmt: skip
    assert Order(dearer).minutes(root(made)) == value * factor
    first = made.steps[0]
    copy = Step("copy", first.minutes, first.outcomes, first.needs, first.box)
    twice = Workshop(made.weights, made.parts, (*made.steps, copy), made.isolation, made.energising, made.boxes)
    assert Order(twice).minutes(root(made)) == value


@given(seeds)
@settings(max_examples=60, deadline=None)
def test_no_first_step_is_better_than_the_best_and_one_is_as_good(seed):
    order = Order(drawn(seed))
    start = root(order.workshop)
    value = order.minutes(start)
    regrets = [order.regret(start, id) for id in order.actions(start)] if 0 < value < INFINITE else [0]
    assert min(regrets) == 0
    ids = [step.id for step in order.workshop.steps]
    if all(step.needs == "any" for step in order.workshop.steps):
        assert value <= fixed_order(order.workshop, ids, start)


@pytest.mark.parametrize("k", range(1, 5))
def test_a_chain_of_two_to_the_k_equal_modules_takes_k_probes(k):
    order = Order(chain([1] * 2**k))
    assert order.minutes(root(order.workshop)) == k


def test_work_stops_where_proving_dead_fails_and_where_a_test_would_be_unsafe():
    live = Step("charge", 1, (1, 2), "live", unsafe=1)
    made = Workshop((1, 3), (0, 1), (live, Step("ohm", 2, (1, 2), "dead")), 30, 20, (), still_live=1)
    order = Order(made)
    assert not order.safe(State(3), "charge")
    assert order.actions(State(3)) == [ISOLATE]
    assert order.minutes(State(3)) == 30
    assert order.after(State(3), ISOLATE) == [State(1), State(2, True)]

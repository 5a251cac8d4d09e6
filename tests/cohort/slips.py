"""Progress slips to try things with: a small course's names, and a learner of any size."""

import random
from datetime import date, timedelta

from quizgen.cohort.progress_slip import Counts, Slip
from quizgen.cohort.slip_message import GENERALS
from quizgen.variants.slip_names import CASE_SLIPS, SlipNames

SAVED = "2026-11-28"
COURSE = "depot-course"


def small_names(questions=12, cases=2):
    """Three modules with some questions each, two slips in every question."""
    ids = [f"question-{n}" for n in range(questions)]
    modules = {f"module-{k}": tuple(ids[k::3]) for k in range(3)}
    slips = {id: {"no-root-three": f"Look at {id}.", "added-up": "Do not add them."} for id in ids}
    named = tuple(f"case-{n}" for n in range(cases))
    return SlipNames(modules, named, {"old-name": "question-0"}, {**slips, **dict.fromkeys(named, CASE_SLIPS)})


def learner(names, seed, wrongs=0.9, share=1.0, code="A-07", saved=SAVED):
    """Somebody who did `share` of the course, with so many wrong answers to a question on the average."""
    chance = random.Random(seed)
    start = date.fromisoformat(saved) - timedelta(days=90)
    results = {}
    ids = [id for ids in names.modules.values() for id in ids] + list(names.cases)
    for at, id in enumerate(ids):
        if chance.random() >= share:
            continue
        day = start + timedelta(days=at * 80 // len(ids))
        wrong = 0
        while chance.random() < wrongs / (1 + wrongs):
            wrong += 1
        helped = chance.random() < 0.25
        right = 2 + (chance.random() < 0.3)
        own = [*names.slips.get(id, {}), *GENERALS[:5]]
        made = {}
        for _ in range(wrong):
            if chance.random() < 0.5:
                slip = chance.choice(own)
                made[slip] = made.get(slip, 0) + 1
        days = [day + timedelta(days=3 * n) for n in range(right)]
        lately = [f"{day}-"] * wrong + [f"{day}h"] * helped + [f"{one}+" for one in days]
        results[id] = Counts(
            wrong + right + helped, right + helped, int(helped), right, True, tuple(map(str, days)),
            tuple(lately[-10:]), tuple(sorted(made.items())),
        )  # fmt: skip
    return Slip(code, saved, results)


def as_results(slip):
    """The slip's results as the page keeps them."""
    return {
        id: {
            "tries": one.tries, "right": one.right, "helped": one.helped, "days": list(one.days),
            "last": "right", "lately": list(one.lately), "slips": dict(one.slips),
        }
        for id, one in slip.results.items()
    }  # fmt: skip


def as_file(slip, course=COURSE):
    return {"file": "progress", "version": 1, "course": course, "course version": "x", "code": slip.code,
            "saved": slip.saved, "results": as_results(slip)}  # fmt: skip

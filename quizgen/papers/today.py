"""What has changed in today's course since a paper was issued; the paper is marked from its record all the same."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from quizgen.bank.models import Bank
from quizgen.papers.types import Issue
from quizgen.variants.compile import question_content


@dataclass(frozen=True, slots=True)
class Today:
    """Of today's course what a record is compared with."""

    contents: Mapping[str, str]
    """Hash of what authors wrote, by question."""
    pass_marks: Mapping[str, int]
    """By plan."""


def today_of(bank: Bank) -> Today:
    contents = {id: question_content(bank, question) for id, question in bank.questions.items()}
    return Today(contents, {plan.id: plan.pass_mark for plan in bank.plans.values()})


def today_data(today: Today) -> dict[str, Any]:
    """As plain data, to be kept."""
    return {"contents": dict(today.contents), "pass_marks": dict(today.pass_marks)}


def today_from(data: Any) -> Today | None:
    """From kept data; None where it is anything else."""
    match data:
        case {"contents": dict() as contents, "pass_marks": dict() as marks, **more} if not more:
            texts = all(isinstance(one, str) for one in contents.values())
            if texts and all(isinstance(one, int) for one in marks.values()):
                return Today(contents, marks)
    return None


def differences(issue: Issue, today: Today) -> list[str]:
    """One line for each question that is no longer what it was; one if the plan is gone or has another mark."""
    made = []
    for number, one in enumerate(issue.questions, 1):
        content = today.contents.get(one.id)
        if content is None:
            made.append(f"question {number} ({one.id}) is no longer in the bank; marked from the record")
        elif content != one.question.get("content"):
            made.append(f"question {number} ({one.id}) was changed in the bank since; marked from the record")
    pass_mark = today.pass_marks.get(issue.plan)
    if pass_mark is None:
        made.append(f"the plan {issue.plan} is no longer in the bank; marked from the record")
    elif pass_mark != issue.pass_mark:
        made.append(f"the plan's pass mark is {pass_mark} today; this paper was issued with {issue.pass_mark}")
    return made

"""What has changed in today's course since a paper was issued; the paper is marked from its record all the same."""

from __future__ import annotations

from quizgen.bank.models import Bank
from quizgen.papers.types import Issue
from quizgen.variants.compile import question_content


def differences(issue: Issue, bank: Bank) -> list[str]:
    """One line for each question that is no longer what it was; one if the plan is gone or has another mark."""
    made = []
    for number, one in enumerate(issue.questions, 1):
        if one.id not in bank.questions:
            made.append(f"question {number} ({one.id}) is no longer in the bank; marked from the record")
        elif question_content(bank, bank.questions[one.id]) != one.question.get("content"):
            made.append(f"question {number} ({one.id}) was changed in the bank since; marked from the record")
    plan = bank.plans.get(issue.plan)
    if plan is None:
        made.append(f"the plan {issue.plan} is no longer in the bank; marked from the record")
    elif plan.pass_mark != issue.pass_mark:
        made.append(f"the plan's pass mark is {plan.pass_mark} today; this paper was issued with {issue.pass_mark}")
    return made

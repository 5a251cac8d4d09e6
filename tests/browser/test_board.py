"""The board of the register in a real browser: a name with script is a name, and nothing is asked for."""

from quizgen.records import pages
from quizgen.records.report import NOTE
from quizgen.records.standing import STATES

HOSTILE = "<img src=x onerror=\"document.title='run'\"><script>document.title='run'</script>"


def test_names_and_reasons_with_script_are_shown_as_text(page, tmp_path):
    tiers = [
        {"tier": f"t{n}", "code": f"T{n}", "title": HOSTILE, "state": state, "until": None, "why": [HOSTILE]}
        for n, state in enumerate(STATES)
    ]
    data = {
        "checked_on": "2026-11-25", "head": "0" * 64, "entries": 7, "note": NOTE,
        "people": [{"code": "A-07", "name": HOSTILE, "tiers": tiers}],
    }  # fmt: skip
    path = tmp_path / "board.html"
    path.write_text(pages.board_html(data, "Depot: register"), encoding="utf-8")
    asked, complaints = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.goto(path.as_uri())
    assert page.title() == "Depot: register"
    assert page.locator("img, script").count() == 0
    assert page.locator("tbody th small").inner_text() == HOSTILE
    assert [page.locator("tbody td b").nth(n).inner_text().split(" ", 1)[-1] for n in range(3)] == [
        "current", "due soon", "expired",
    ]  # fmt: skip
    assert asked == [path.as_uri()] and complaints == []

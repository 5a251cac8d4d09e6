"""The shipped scripts on a page without questions, their judge within reach as `room.judge`."""

from quizgen.web import bundle

NO_COURSE = {"id": "x", "title": "", "version": "", "modules": []}


def open_judge(page, folder, units):
    """Writes both scripts and an empty page into the folder and opens it; `room` is there afterwards."""
    first, second = bundle.script(units, NO_COURSE), bundle.more(units)
    reach = ";window.withMore=withMore;})();"
    texts = {first.name: first.content.replace("})();", reach), second.name: _inside(second.content)}
    assert texts[first.name].count(reach) == 1
    for name, text in texts.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    empty = folder / "empty.html"
    tag = f'<script src="{first.name}"></script>'
    empty.write_text(f"<!doctype html><meta charset=utf-8><title>Empty</title>{tag}", encoding="utf-8")
    page.goto(empty.as_uri())
    page.evaluate("new Promise((done) => withMore(done))")


def _inside(second):
    end = second.rindex("return{")
    return f"{second[:end]}window.room={{judge,opened}};{second[end:]}"

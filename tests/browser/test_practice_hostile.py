"""Texts of the bank, of storage and of the keyboard stay texts, whatever they look like."""

from tests.browser.workbench import HEARD


def test_no_text_of_a_course_is_ever_run(page, hostile_site):
    page.add_init_script(HEARD)
    errors = []
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(f"{hostile_site.as_uri()}/index.html")
    sections = page.locator("section.qz")
    assert sections.count() == 4
    markup = '<img src=x onerror="window.ran=1"></template><script>window.ran=1</script>'
    box = page.locator("#q-number input")
    for text in (markup, "62", "63", "1"):
        box.fill(text)
        box.press("Enter")
    page.locator("#q-word input").first.check()
    page.locator("#q-choose input").first.check()
    page.locator("#q-sort .qz-down").first.click()
    for section in sections.all():
        for name in ("Check", *["Show a step"] * 4, "Check", "Something wrong here?"):
            # Once all is shown the button is called disabled, and may be pressed all the same.
            section.get_by_role("button", name=name).click(force=True)
        section.locator(".qz-lead").first.wait_for()
    page.locator("#q-choose input").last.check()
    page.locator("#q-choose .qz-check").click()
    page.get_by_label("Print with answers").check()
    assert page.locator(".qz-answer").count() == 4
    answers = page.locator(".qz-answer").evaluate_all("all => all.map((one) => one.textContent)")
    assert all("<script>" in text for text in answers), "the hostile texts did get there, as texts"
    page.reload()
    assert box.input_value() == "1"
    assert page.locator(".md-content img").count() == 0
    assert page.locator("section.qz script").count() == 0
    assert page.evaluate("window.ran") is None
    assert errors == []
    assert "</template><script>" in page.locator("#q-number .qz-text").inner_text(), "it is shown as it was written"

"""The trainer's pages can be left out of the learner's navigation; they are there for who has the address."""

import re

PAGES = {"trainer/papers.md": "# Give a paper\n\nText.\n", "last.md": "# The last page\n\nText.\n"}
NAV = [{"Start": "index.md"}, {"For trainers": ["trainer/papers.md"]}, {"End": "last.md"}]


def links(site, name="index.html"):
    return set(re.findall(r'href="([^"#]*)"', (site / name).read_text(encoding="utf-8")))


def test_by_default_the_trainers_pages_stand_in_the_navigation(build):
    assert "trainer/papers.html" in links(build(PAGES, nav=NAV, use_directory_urls=False))


def test_a_folder_set_aside_is_built_and_not_linked(build):
    plugins = ["search", {"quizgen": {"aside": "trainer"}}]
    site = build(PAGES, nav=NAV, plugins=plugins, use_directory_urls=False)
    assert "trainer/papers.html" not in links(site)
    assert "For trainers" not in (site / "index.html").read_text(encoding="utf-8")
    assert "last.html" in links(site) and "trainer/papers.html" not in links(site, "last.html")
    assert "Give a paper" in (site / "trainer" / "papers.html").read_text(encoding="utf-8")

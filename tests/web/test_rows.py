"""Tables of sentences tell on a narrow screen which column each cell belongs to; others stay as they are."""

import re

from quizgen.web.rows import rows_of_sentences


def table(heads, *rows):
    head = "".join(f"<th>{one}</th>\n" for one in heads)
    body = "".join("<tr>\n" + "".join(f"<td>{cell}</td>\n" for cell in row) + "</tr>\n" for row in rows)
    return f"<table>\n<thead>\n<tr>\n{head}</tr>\n</thead>\n<tbody>\n{body}</tbody>\n</table>"


SENTENCES = table(
    ("Reading", "It tells <em>you</em>", "It rules out &amp; clears"),
    ("one winding at zero", "nothing flows in that path", "a sensor that is stuck"),
    ("all three are equal", "the legs share the current", "a winding that is open"),
)


def test_each_cell_of_a_table_of_sentences_names_its_column_as_the_head_does():
    made = rows_of_sentences(SENTENCES)
    named = re.findall(r'<td role="cell" data-head="([^"]*)">', made)
    assert named == ["Reading", "It tells you", "It rules out &amp; clears"] * 2
    assert re.sub(r' (role|data-head)="[^"]*"', "", made).endswith(f'<div class="qz-rows">{SENTENCES}</div>')


def test_the_table_keeps_its_roles_where_its_layout_is_taken_away():
    made = rows_of_sentences(SENTENCES)
    roles = dict(re.findall(r'<(table|thead|tbody|tr|td) role="([a-z]+)"', made))
    assert roles == {
        "table": "table", "thead": "rowgroup", "tbody": "rowgroup", "tr": "row", "td": "cell"
    }  # fmt: skip
    assert made.count('role="row"') == 3


def test_numbers_and_narrow_tables_stay_columns():
    numbers = table(("Battery", "320 V", "400 V"), ("duty", "0.116", "0.293"), ("current", "69.0 A", "55.2 A"))
    two = table(
        ("Said", "What is true"), ("a motor at rest is safe to touch", "during a charge it is live all the same")
    )
    assert rows_of_sentences(numbers) == numbers
    assert rows_of_sentences(two) == two


def test_the_style_stands_once_on_a_page_and_only_where_it_is_needed():
    assert rows_of_sentences(f"<p>a</p>{SENTENCES}<p>b</p>{SENTENCES}").count("<style>") == 1
    assert "<style>" not in rows_of_sentences("<p>no table</p>")


def test_an_alignment_that_the_author_wrote_stays():
    aligned = SENTENCES.replace("<td>a winding that is open", '<td style="text-align: right;">a winding that is open')
    assert '<td role="cell" data-head="It rules out &amp; clears" style="text-align: right;">' in rows_of_sentences(
        aligned
    )

"""The reader of bank files takes a small, strict part of YAML and says where and how to mend a file."""

import os
import random

import pytest
import yaml

from quizgen.bank import yaml_reader
from quizgen.bank.faults import BankError, Fault, Place, near, quoted
from quizgen.bank.yaml_reader import Listing, Mapping, Text, read_file, read_text

GOOD = """\
# the first questions
quantities:
  I_L:
    name: line current  # in one line
    between: 0 A and 200 A
formulas:
  three-phase-power:
    states: P = sqrt(3) * U_LL * I_L
    solved:
      - I_L = P / (sqrt(3) * U_LL)
      - "sign: \\u00b1 # no comment"
    empty: []
    holds for: balanced load,
      sinusoidal voltage
    says: >
      You left out √3. It belongs
      there.

        a deeper line
      # no comment either
    rows: |
      1  2
      3  4
    list:
    - a: 1
      b: 'it''s'
    -
      c: "two
        lines \\
        joined"
"""


def plain(node):
    """A node as lists, pairs and strings."""
    if isinstance(node, Text):
        return node.value
    if isinstance(node, Listing):
        return [plain(item) for item in node.items]
    return {name.value: plain(value) for name, value in node.pairs}


def texts(node):
    if isinstance(node, Text):
        yield node
    for item in node.items if isinstance(node, Listing) else ():
        yield from texts(item)
    for name, value in node.pairs if isinstance(node, Mapping) else ():
        yield name
        yield from texts(value)


def value_of(text):
    """The text of the field a."""
    mapping, faults = read_text(text, "f.yml")
    assert not faults
    return mapping.get("a")


def at(text, offset):
    place = value_of(text).at(offset)
    return place.line, place.column


# -- what is read -------------------------------------------------------------------------------------


def test_a_good_file_is_read_without_faults():
    mapping, faults = read_text(GOOD, "f.yml")
    assert faults == []
    assert plain(mapping) == {
        "quantities": {"I_L": {"name": "line current", "between": "0 A and 200 A"}},
        "formulas": {
            "three-phase-power": {
                "states": "P = sqrt(3) * U_LL * I_L",
                "solved": ["I_L = P / (sqrt(3) * U_LL)", "sign: ± # no comment"],
                "empty": [],
                "holds for": "balanced load, sinusoidal voltage",
                "says": "You left out √3. It belongs there.\n\n  a deeper line\n# no comment either\n",
                "rows": "1  2\n3  4\n",
                "list": [{"a": "1", "b": "it's"}, {"c": "two lines joined"}],
            }
        },
    }


@pytest.mark.parametrize(
    "word",
    ["0.10", "No", "yes", "off", "null", "~", "12:30", "010", "1_000", "1e3", "0x1F", ".inf", "2026-01-31",
     "=", "<<", "3 figures in A", "I_L <= 32 A", "a:b", "a#b", "C#", "it's", "-5 °C", "(P =)", "10 %"],
)  # fmt: skip
def test_every_scalar_is_text_as_written(word):
    assert value_of(f"a: {word}\n") == Text(word, Place("f.yml", 1, 4), "plain")


def test_a_missing_value_is_the_empty_text_behind_its_colon():
    assert value_of("a:\nb: 1\n") == Text("", Place("f.yml", 1, 3), "plain")


def test_fields_keep_their_order_and_are_found_by_name():
    mapping, _ = read_text("b: 1\nholds for: 2\na: 3\n", "f.yml")
    assert mapping.keys() == ("b", "holds for", "a")
    assert mapping.get("holds for").value == "2"
    assert mapping.get("c") is None


def test_nodes_know_where_they_begin():
    mapping, _ = read_text("a:\n  - x\n  -\n    b: y\nc: []\n", "bank/f.yml")
    listing = mapping.get("a")
    assert mapping.place == Place("bank/f.yml", 1, 1)
    assert listing.place == Place("bank/f.yml", 2, 3)
    assert [item.place.line for item in listing.items] == [2, 4]
    assert listing.items[1].pairs[0][0].place == Place("bank/f.yml", 4, 5)
    assert mapping.get("c") == Listing((), Place("bank/f.yml", 5, 4))


@pytest.mark.parametrize(
    ("value", "style"),
    [("x", "plain"), ("'x'", "quoted"), ('"x"', "quoted"), (">\n  x", "folded"), ("|\n  x", "literal")],
)
def test_a_text_knows_its_style(value, style):
    assert value_of(f"a: {value}\n").style == style


@pytest.mark.parametrize(
    "text",
    ["a: 1  # told\n", "# first\na: 1\n", "a:  # told\n  - 1\n", "a: >  # told\n  1\n",
     "a: 1\n   # deep\nb: 2\n", "a: '1'  # told\n", "a:\n  # first\n  - 1\n", "a: []  # none\n"],
)  # fmt: skip
def test_a_comment_stands_alone_or_behind_two_spaces(text):
    mapping, faults = read_text(text, "f.yml")
    assert mapping is not None
    assert faults == []


@pytest.mark.parametrize(
    "text", ["a: 1", "a: 1\n", "a: 1\n\n\n", "\n\na: 1\n", "---\na: 1\n...\n", "a: 1\r\n", "\ufeffa: 1\n"]
)
def test_ends_of_lines_and_of_the_file_do_not_matter(text):
    assert value_of(text).value == "1"


def test_a_tab_between_quotes_is_kept():
    assert value_of("a: \"x\ty\"\nb: 'z\tw'\n").value == "x\ty"


def test_quoted_escapes_are_decoded():
    assert value_of('a: "\\u03a9 \\x41 \\U0001F50C \\" \\\\ \\n."\n').value == 'Ω A 🔌 " \\ \n.'


@pytest.mark.parametrize("depth", [11, 12])
def test_up_to_twelve_levels_are_read(depth):
    text = "".join(f"{' ' * level}a:\n" for level in range(depth))
    mapping, faults = read_text(text, "f.yml")
    assert mapping is not None
    assert faults == []


# -- what is refused, where and how --------------------------------------------------------------------

REFUSED = [
    # brackets, marks, documents
    ("a: [1, 2]\n", "1:4", "each entry on its own line after a dash"),
    ("a: [ ]\n", "1:4", "the empty list [] only"),
    ("a: [1\nb: 2\n", "1:4", "square brackets"),
    ("a: [%]\n", "1:4", "square brackets"),
    ("a: [" + "[" * 5000 + "\n", "1:4", "square brackets"),
    ("a: {b: c}\n", "1:4", "each field on its own line"),
    ("a: {}\n", "1:4", "curly brackets"),
    ("a: [x] y\n", "1:4", "square brackets"),
    ("a: [] y\n", "1:7", "nothing more was expected on this line"),
    ("[a]: b\n", "1:1", "square brackets"),
    ("[]: b\n", "1:1", "write name: text"),
    ("a: &b c\n", "1:4", "a text cannot begin with &"),
    ("a: *b\n", "1:4", "a text cannot begin with *"),
    ("a: **bold** text\n", "1:4", "a text cannot begin with *"),
    ("a: !b c\n", "1:4", "a text cannot begin with !"),
    ("a: !!python/object:os.system x\n", "1:4", "a text cannot begin with !"),
    ("a: !<x\n", "1:4", "a text cannot begin with !"),
    ("a: !b!c d\n", "1:4", "a text cannot begin with !"),
    ("a: @b\n", "1:4", "a text cannot begin with @"),
    ("a: `b`\n", "1:4", "a text cannot begin with `"),
    ("a: %b\n", "1:4", "a text cannot begin with %"),
    ("a: ? b\n", "1:4", "a text cannot begin with ?"),
    ("a: ]\n", "1:4", "a text cannot begin with ]"),
    ("a: , b\n", "1:4", "a text cannot begin with ,"),
    ("%YAML 1.1\n---\na: b\n", "1:1", "% has no meaning here"),
    ("%FOO\n---\na: b\n", "1:1", "% has no meaning here"),
    ("a: b\n%YAML 1.1\n", "2:1", "cannot begin with %"),
    ("a: b\n---\nc: d\n", "2:1", "into a file of its own"),
    ("a: b\n...\nc: d\n", "3:1", "into a file of its own"),
    ("<<: a\n", "1:1", "write the fields out"),
    # names of fields
    ("a: 1\nb: 2\na: 3\n", "3:1", '"a" stands in line 1 already'),
    ("a:\n  b: 1\n  b: 2\n", "3:3", '"b" stands in line 2 already'),
    ("'a': b\n", "1:1", "stands without quotes"),
    ("? a\n: b\n", "1:3", "write name: text"),
    ("? |\n  a\n: b\n", "1:3", "write name: text"),
    ("? a: b\n: c\n", "1:3", "write name: text"),
    ("? - a", "1:3", "write name: text"),
    (": b\n", "1:1", "write name: text"),
    ("a: b\n: c\n", "2:1", "write name: text"),
    ("-\n: c\n", "2:1", "write name: text"),
    ("a: 1\n'b\n  c': d\n", "2:1", "write name: text"),
    ("k" * 1500 + ": v\n", "1:1", "longer than 1000 characters"),
    ("a\u00a0b: c\n", "1:2", "U+00A0"),
    ("a: 1\nb\u200db: c\n", "2:2", "U+200D"),
    # the file as a whole
    ("", "1:1", "the file is empty"),
    ("# nothing yet\n", "1:1", "the file is empty"),
    ("---\n", "2:1", "must begin with a field"),
    ("just words\n", "1:1", "must begin with a field"),
    ("- a\n- b\n", "1:1", "must begin with a field"),
    ("[]\n", "1:1", "must begin with a field"),
    ("".join(f"{' ' * level}a:\n" for level in range(14)), "13:13", "more than 12"),
    ("a:\n" + "- " * 9000 + "b\n", "2:23", "more than 12"),
    # spaces at the start of a line
    ("a:\n    b: 1\n  c: 2\n", "3:3", "begins with 2 spaces and fits nothing above it: 0 or 4 would"),
    ("a: >\n    text\n  more\n", "3:3", "4 would continue the text above, 0 would begin something new"),
    ("a: >\n\n      \n  text\n", "4:3", "a blank line above"),
    ("a: text\n  b: c\n", "2:3", "a field begins inside the text above"),
    ("a:\n  -b: text\n    c: d\n", "2:3", "an entry of a list needs a space behind its dash: write - name: text"),
    ("a: 1\n- b\n", "2:1", "an entry of a list (- …) stands among fields"),
    ("a:\n- b: 1\n  c: 2\n  - d\n", "4:3", "an entry of a list (- …) stands among fields"),
    ("a:\n  - b\n  c: d\n", "3:3", "stands among the entries of a list"),
    ("-\nb: c\n", "2:1", "stands among the entries of a list"),
    ("a: - b\n", "1:4", "a list begins on the line below its field"),
    ("a: b\n  - c\n", "2:3", "this line only continues the text above"),
    ("a:\n  - b\n    - c\n", "3:5", "this line only continues the text above"),
    ("a: text\n  # comment\n  more\n", "3:3", "a comment stands inside a text"),
    # colons
    ("a: 1\ntext\nb: 2\n", "2:1", "add its colon"),
    ("a:\n  text\n  b: 2\n", "2:3", "add its colon"),
    ("a: 1\nb:2\nc: 3\n", "2:2", "needs a space behind its colon"),
    ("a:1\nb: 2\n", "1:2", "needs a space behind its colon"),
    ("a: 1\nb:\u00a02\nc: 3\n", "2:3", "U+00A0"),
    ("a: Note: this\n", "1:8", "put the text on the next lines under >, or between quotes"),
    ("a: He said:\n", "1:11", "put the text on the next lines under >, or between quotes"),
    ("a:\n  - b: c: d\n", "2:9", "cannot stand in a text without quotes"),
    # comments
    ("a: 230 V # mains\n", "1:10", "the text stops at #"),
    ("a: #5\n", "1:4", "the text stops at #"),
    ("a:\n  - # x\n", "2:5", "the text stops at #"),
    ("a: text # cut\n  goes on\n", "1:9", "the text stops at #"),
    ("a: 1\nfuse #5: b\n", "2:6", "the text stops at #"),
    ("a: > # x\n  y\n", "1:6", "the text stops at #"),
    ("a: 'b' # c\n", "1:8", "the text stops at #"),
    ("a: 'b'# c\n", "1:7", "leave two spaces before #"),
    # quotes
    ('a: "open\nb: c\n', "1:4", "the quote opened here is never closed"),
    ("a: 'open\n---\n", "1:4", "the quote opened here is never closed"),
    ('a: "What" is it?\n', "1:11", "opened in line 1 is closed before this"),
    ("a: 'it's hot'\n", "1:8", "write the quote inside it twice"),
    ('a: "open\nb: "c"\n', "2:5", "opened in line 1 is closed before this"),
    ('a: "\\q"\n', "1:5", "no escape that is known"),
    ('a: "b\\xZZ"\n', "1:6", "no escape that is known"),
    ('a: "b\\UFFFFFFFF"\n', "1:6", "no escape that is known"),
    ('a: "b\\0"\n', "1:6", "this escape makes U+0000"),
    ('a: "\\ud800"\n', "1:5", "this escape makes U+D800"),
    ('a: "b \\u202e c"\n', "1:7", "this escape makes U+202E"),
    # blocks
    ("a: > text\n", "1:4", "begins on the next line"),
    ("a: >= 3 A\n", "1:4", "a text that begins with > or | stands between quotes"),
    ("a: >5\n", "1:4", "nothing stands beside the sign"),
    ("a: |2\n    x\n", "1:4", "nothing stands beside the sign"),
    ("a: >#x\n  y\n", "1:4", "nothing stands beside the sign"),
    # tabs
    ("a:\tb\n", "1:3", "use spaces instead"),
    ("\ta: b\n", "1:1", "use spaces instead"),
    ("a:\n\tb: c\n", "2:1", "use spaces instead"),
    ("a: b\tc\n", "1:5", "use spaces instead"),
    ("a: |\n  1\t2\n", "2:4", "use spaces instead"),
    ("a: b  #\tc\n", "1:8", "use spaces instead"),
    ("a: 'b\tc'\td\n", "1:9", "use spaces instead"),
    ("a: '\t'\nb:\t\"\t\"\n", "2:3", "use spaces instead"),
    # symbols
    ("a: b\0c\n", "1:5", "NUL"),
    ("a: b\n\x1b[2J\n", "2:1", "U+001B"),
    ("a: \x85b\n", "1:4", "U+0085"),
    ("a: b\rc: d\n", "1:5", "carriage return"),
    ("a: b\u2028c: d\n", "1:5", "U+2028"),
    ("a: \ud800\n", "1:4", "U+D800"),
    ("a: b\uffff\n", "1:5", "U+FFFF"),
    ("a: \u202eb\n", "1:4", "U+202E"),
    ("a: b\u2066c\n", "1:5", "U+2066"),
    ("a: b\n# \u2069\n", "2:3", "U+2069"),
    ("a: b\u200bc\n", "1:5", "U+200B"),
    ("a\u200e: b\n", "1:2", "U+200E"),
    ("a: '\u200f'\n", "1:5", "U+200F"),
    ("\ufeff\ufeffa: b\n", "1:1", "U+FEFF"),
    ("a: b\ufeffc\td\n", "1:5", "U+FEFF"),
    ("a: \u00a0b\n", "1:4", "looks like a space"),
    ("a: 1\nb: " + "x" * 20_000 + "\n", "2:20001", "longer than 20000 characters"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "where", "fragment"), REFUSED)
def test_a_fault_is_told_with_its_place_and_its_cure(text, where, fragment):
    _, faults = read_text(text, "f.yml")
    line, column = map(int, where.split(":"))
    told = [(fault.place.line, fault.place.column) for fault in faults if fragment in fault.message]
    assert (line, column) in told, [str(fault) for fault in faults]


@pytest.mark.parametrize(("text", "where", "fragment"), REFUSED)
def test_no_fault_speaks_the_parser_s_language(text, where, fragment):
    _, faults = read_text(text, "f.yml")
    for fault in faults:
        told = str(fault)
        assert told.isprintable(), told
        assert not any(word in told for word in ("<block", "token", "mapping", "scalar", "anchor", "node", "stream"))


@pytest.mark.parametrize(
    "text",
    ["a: text # cut\n  goes on\n", "a: [x] y\n", "a: [1\nb: 2\n", "\ta: 1\n     b: 2\n",
     "fuse #5: b\nc: d\n", "a:1\nb: 2\n", "? - a\n: b\n", "a: b\ufeffc\n",
     'a: "\\u202e"\n', "a: 1\n? [b]\n"],
)  # fmt: skip
def test_one_slip_is_one_fault(text):
    _, faults = read_text(text, "f.yml")
    assert len(faults) == 1, [str(fault) for fault in faults]


def test_all_faults_of_a_file_are_told_at_once_in_order():
    text = "a: [1]\nb: *x\nb: 2\nc: 3 # three\nd:\t4\ne: x\u200by\nf: Note: this\n"
    _, faults = read_text(text, "f.yml")
    assert [fault.place.line for fault in faults] == [1, 2, 3, 4, 5, 6, 7]
    assert all(fault.place.path == "f.yml" and fault.owner == "" for fault in faults)


def test_many_faults_of_one_kind_are_counted():
    _, faults = read_text("a: b\n" + "".join(f"k{number}:\tc\n" for number in range(100)), "f.yml")
    assert len(faults) == yaml_reader.LISTED + 1
    assert "79 more like this, the last in line 101" in faults[-1].message


@pytest.mark.parametrize(
    "text",
    ["a: [1]\n", "a: *b\n", "a: Note: b\n", "? a\n: b\n", "a:\n\tb: c\n", "a: b\n---\nc: d\n", "- a\n"],
)
def test_a_file_whose_shape_is_in_doubt_gives_no_mapping(text):
    assert read_text(text, "f.yml")[0] is None


@pytest.mark.parametrize("text", ["a: b # c\n", "a: 1\na: 2\n", "'a': b\n", "a: b\tc\n", "a: x\u200by\n", "a: &x b\n"])
def test_other_faults_stand_beside_the_mapping(text):
    mapping, faults = read_text(text, "f.yml")
    assert len(faults) == 1
    assert mapping.keys() == ("a",)


def test_of_a_doubled_field_the_first_is_kept():
    assert read_text("a: 1\na: 2\n", "f.yml")[0].get("a").value == "1"


def test_nothing_is_expanded_before_an_alias_is_refused():
    bomb = "a0: &a0 x\n" + "".join(f"a{n}: &a{n}\n" + f"- *a{n - 1}\n" * 9 for n in range(1, 12))
    mapping, faults = read_text(bomb, "f.yml")
    assert mapping is None
    assert sum("cannot begin with *" in fault.message for fault in faults) == 99


# -- files -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("data", ["a: Ω\n".encode(), "\ufeffa: Ω\n".encode(), "a: Ω\r\n".encode()])
def test_utf_8_files_are_read_with_or_without_mark_and_with_either_line_end(tmp_path, data):
    path = tmp_path / "f.yml"
    path.write_bytes(data)
    mapping, faults = read_file(path, "bank/f.yml")
    assert faults == []
    assert mapping.get("a") == Text("Ω", Place("bank/f.yml", 1, 4), "plain")


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ("a: b\nc: é\n".encode("latin-1"), "f.yml:2:4: byte 0xE9 is no UTF-8"),
        (b"\xef\xbb\xbfa\xff: b\n", "f.yml:1:2: byte 0xFF is no UTF-8"),
        ("Ω: é".encode() + b"\x80", "f.yml:1:5: byte 0x80 is no UTF-8"),
        (b"a: \xc3", "f.yml:1:4: byte 0xC3 is no UTF-8"),
        (b"a: \xed\xa0\x80\n", "f.yml:1:4: byte 0xED is no UTF-8"),
        ("a: b\n".encode("utf-16"), "f.yml:1:1: the file is saved as UTF-16: save it as UTF-8"),
        ("a: b\n".encode("utf-32"), "f.yml:1:1: the file is saved as UTF-32: save it as UTF-8"),
        ("a: b\n".encode("utf-16-le"), "f.yml:1:2: NUL (U+0000) stands here: save the file as UTF-8 text"),
        (b"\xef\xbb\xbf\xef\xbb\xbfa: b\n", "f.yml:1:1: U+FEFF (byte order mark) stands here"),
        (b"a: b\n" * 200_001, "f.yml:1:1: the file is larger than 1 MB"),
        (bytes(range(256)), "f.yml:2:118: byte 0x80 is no UTF-8"),
    ],
)
def test_other_bytes_are_refused_with_line_and_column(tmp_path, data, told):
    path = tmp_path / "f.yml"
    path.write_bytes(data)
    _, faults = read_file(path, "f.yml")
    assert str(faults[0]).startswith(told)


def test_a_file_of_just_the_largest_size_is_read(tmp_path):
    path = tmp_path / "f.yml"
    path.write_bytes(b"# 345678\n" * 111_110 + b"a: bcdefg\n")
    assert path.stat().st_size == yaml_reader.LARGEST_FILE
    assert read_file(path, "f.yml")[1] == []
    path.write_bytes(path.read_bytes() + b"\n")
    assert "larger than 1 MB" in read_file(path, "f.yml")[1][0].message


@pytest.mark.parametrize(
    "text", ["a: " + "x" * 999_000, "[" * 1_000_000, '"' * 1_000_001, "a" * 20_001, "a: b\n" + "\0" * 100]
)
def test_overlong_and_damaged_files_are_refused_before_they_are_parsed(text, monkeypatch):
    def parse(*_):
        raise AssertionError("parsed")

    monkeypatch.setattr(yaml_reader, "_run", parse)
    mapping, faults = read_text(text, "f.yml")
    assert mapping is None
    assert len(faults) == 1


def test_a_missing_file_a_folder_and_a_pipe_are_faults(tmp_path):
    assert "cannot be read" in read_file(tmp_path / "none.yml", "none.yml")[1][0].message
    assert "cannot be read" in read_file(tmp_path / "no\0ne.yml", "none.yml")[1][0].message
    assert "folder" in read_file(tmp_path, "bank")[1][0].message


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_is_refused_instead_of_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.yml")
    assert "no ordinary file" in read_file(tmp_path / "pipe.yml", "pipe.yml")[1][0].message


# -- from an offset to its place -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "offset", "place"),
    [
        ("a: P = U * I\n", 0, (1, 4)),
        ("a: P = U * I\n", 8, (1, 12)),
        ("a:   Ω = U\n", 4, (1, 10)),
        ("a:\n  one\n  two\n", 5, (3, 4)),
        ("a: one\n\n   two\n", 4, (3, 4)),
        ("a: 'x y'\n", 0, (1, 5)),
        ("a: 'it''s'\n", 2, (1, 7)),
        ("a: 'it''s'\n", 3, (1, 9)),
        ('a: "\\u03a9 = \\x41B"\n', 0, (1, 5)),
        ('a: "\\u03a9 = \\x41B"\n', 4, (1, 14)),
        ('a: "\\u03a9 = \\x41B"\n', 5, (1, 18)),
        ('a: "one\n  two"\n', 4, (2, 3)),
        ('a: "one\n\n\n  two"\n', 5, (4, 3)),
        ('a: "one\\\n  two"\n', 3, (2, 3)),
        ('a: "one\\ \n  two"\n', 5, (2, 3)),
        ("a: |\n  1 2\n\n    3\n", 0, (2, 3)),
        ("a: |\n  1 2\n\n    3\n", 4, (3, 1)),
        ("a: |\n  1 2\n\n    3\n", 7, (4, 5)),
        ("a: |\n\n  x\n", 1, (3, 3)),
        ("a: >\n  one\n  two\n", 0, (2, 3)),
        ("a: >\n  one\n  two\n", 4, (3, 3)),
        ("a: >\n  one\n\n  two\n", 4, (4, 3)),
        ("a: >-\n  one\n    deep\n  two\n", 6, (3, 5)),
        ("a: >-\n  one\n    deep\n  two\n", 11, (4, 3)),
        ("a: >  # told\n\n\n  one\n", 2, (4, 3)),
        ("a: >\n  one  \n  two\n", 6, (3, 3)),
    ],
)
def test_the_place_of_a_character_is_exact(text, offset, place):
    assert at(text, offset) == place


@pytest.mark.parametrize("text", ["a: xy\n", "a: 'xy'\n", "a: >\n  xy\n", "a: |\n  xy\n", "a:\n", "a: ''\n", "a: >\n"])
@pytest.mark.parametrize("offset", [-5, -1, 2, 3, 99, 10**12])
def test_an_offset_outside_the_text_gives_a_place_beside_it(text, offset):
    line, column = at(text, offset)
    lines = text.split("\n")
    assert 1 <= line <= len(lines)
    assert 1 <= column <= len(lines[line - 1]) + 1


def test_a_text_made_by_hand_has_one_place():
    assert Text("xy", Place("f.yml", 3, 4), "plain").at(1) == Place("f.yml", 3, 4)


def check_places(text, mapping):
    """Every visible character of every value stands in the file where at() says."""
    lines = text.split("\n")
    for found in texts(mapping):
        for offset, symbol in enumerate(found.value):
            place = found.at(offset)
            there = lines[place.line - 1][place.column - 1 : place.column]
            assert symbol.isspace() or there in (symbol, "\\"), (found, offset, place)


def test_all_characters_of_a_file_are_found_again():
    check_places(GOOD, read_text(GOOD, "f.yml")[0])


# -- hostile files by chance ---------------------------------------------------------------------------

SCRAPS = [
    "\t", " ", "  ", "\n", "\n  ", ":", ": ", "- ", "-", "#", " #", "'", '"', "[", "]", "{", "}", "[]", ",",
    "&a ", "*a", "!", "! ", "!t ", "!~!t ", "|", ">", "|\n", ">-\n", "|2\n", ">#", "%", "%YAML 1.1\n", "---",
    "---\n", "...\n", "? ", "<<: ", "\\", "\\x", '"\\uD800"', "\\U99999999", "\\\n", "\u00a0", "\u200b",
    "\ufeff", "\0", "\r", "\r\n", "\u2028", "\x85", "é", "🔌", "@", "`", "~", "x: y\n", "  # c\n",
]  # fmt: skip


def spoilt(chance, text):
    """The text with up to four things inserted, cut, doubled or moved."""
    for _ in range(chance.randint(1, 4)):
        here, kind = chance.randrange(len(text) + 1), chance.randrange(6)
        if kind <= 1:
            text = text[:here] + chance.choice(SCRAPS) + text[here:]
        elif kind == 2:
            text = text[:here] + text[here + chance.randint(1, 4) :]
        elif kind == 3:
            text = text[:here] + text[chance.randrange(len(text) + 1) :][:30] + text[here:]
        elif kind == 4:
            lines = text.split("\n")
            number = chance.randrange(len(lines))
            lines[number] = " " * chance.randint(0, 8) + lines[number].lstrip()
            text = "\n".join(lines)
        else:
            text = chance.choice([text[:here], text[here:], text])
    return text


def litter(chance):
    """Scraps alone, which reach corners that a spoilt good file does not."""
    return "".join(chance.choices([*SCRAPS, "a: ", "b: x", "\n  ", "x y"], k=chance.randint(1, 14)))


def check_read(text):
    mapping, faults = read_text(text, "f.yml")
    lines = text.removeprefix("\ufeff").replace("\r\n", "\n").split("\n")
    assert mapping is not None or faults
    assert faults == sorted(faults)
    for fault in faults:
        assert 1 <= fault.place.line <= len(lines), fault
        assert 1 <= fault.place.column <= len(lines[fault.place.line - 1]) + 1, fault
        assert str(fault).isprintable()
    if not faults:
        check_places("\n".join(lines), mapping)
    return mapping, faults


def test_no_spoilt_file_breaks_the_reader():
    chance = random.Random(20)
    good = sum(not check_read(spoilt(chance, GOOD))[1] for _ in range(2000))
    assert 100 < good < 1000  # some spoiling does no harm, most does


def test_no_litter_breaks_the_reader():
    chance = random.Random(21)
    assert sum(bool(check_read(litter(chance))[1]) for _ in range(2000)) > 1000


@pytest.mark.skipif(not yaml.__with_libyaml__, reason="PyYAML was built without its loader in C")
def test_both_loaders_give_the_same(monkeypatch):
    chance = random.Random(22)
    written = [GOOD, *(text for text, _, _ in REFUSED)]
    written += [spoilt(chance, GOOD) for _ in range(400)] + [litter(chance) for _ in range(600)]
    fast = [read_text(text, "f.yml") for text in written]
    assert yaml_reader._FAST is not None
    monkeypatch.setattr(yaml_reader, "_FAST", None)
    assert [read_text(text, "f.yml") for text in written] == fast


def test_the_loader_in_c_is_used_where_there_is_one():
    assert (yaml_reader._FAST is not None) == yaml.__with_libyaml__


# -- faults ------------------------------------------------------------------------------------------


def test_a_fault_is_one_line_with_place_owner_and_message():
    place = Place("course/bank/supply.yml", 41, 11)
    assert str(Fault(place, "line-current", "x.")) == "course/bank/supply.yml:41:11: line-current: x."
    assert str(Fault(place, "", "x.")) == "course/bank/supply.yml:41:11: x."
    assert str(Fault(Place("a\nb", 1, 1), "c\x1b", "d\u202e\r\ne")) == r"a\nb:1:1: c\x1b: d\u202e\r\ne"


def test_faults_sort_by_place_and_an_error_carries_them_all():
    late = Fault(Place("b.yml", 1, 1), "", "late")
    middle = Fault(Place("a.yml", 10, 1), "", "middle")
    early = Fault(Place("a.yml", 9, 30), "z", "early")
    error = BankError([late, middle, early])
    assert error.faults == (early, middle, late)
    assert str(error).split("\n") == ["a.yml:9:30: z: early", "a.yml:10:1: middle", "b.yml:1:1: late"]


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("kw", '"kw"'),
        ("", '""'),
        ("a\nb\tc\0", r'"a\nb\tc\x00"'),
        ("\u202eevil\u200b", r'"\u202eevil\u200b"'),
        ("3\u00a0kW Ω 🔌", r'"3\xa0kW Ω 🔌"'),
        ("\ud800", r'"\ud800"'),
        ("x" * 60, '"' + "x" * 60 + '"'),
        ("x" * 61, '"' + "x" * 59 + '…"'),
        ("x" * 58 + "\u202ey", '"' + "x" * 58 + '…"'),
    ],
)
def test_quoted_text_is_short_and_shows_everything(text, shown):
    assert quoted(text) == shown


def test_quoted_text_is_never_longer_than_an_excerpt():
    assert all(len(quoted(symbol * 10_000)) <= 62 for symbol in "a\0\u202e\U000e0001")


@pytest.mark.parametrize(
    ("word", "known", "hint"),
    [
        ("kw", ["W", "kW", "kWh"], " Did you mean kW?"),
        ("mw", ["MW", "mW", "m"], " Did you mean MW or mW?"),
        ("kW", ["kW", "kWh"], ""),
        ("ansewr", ["answer", "ask", "find"], " Did you mean answer?"),
        ("xyz", ["answer", "ask"], ""),
        ("", ["a"], ""),
        ("a", [], ""),
        ("a" * 5000, ["a" * 4999], ""),
    ],
)
def test_a_near_word_is_offered(word, known, hint):
    assert near(word, iter(known)) == hint

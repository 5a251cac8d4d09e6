"""Somebody with the file on a stick changes it: what verify says, entry by entry."""

import json
import shutil
import sqlite3
from datetime import timedelta

import pytest

from quizgen.records import ledger
from quizgen.records.keys import new_key
from quizgen.records.ledger import RegisterError
from quizgen.records.seal import Entry, sealed
from quizgen.records.verify import verify


@pytest.fixture
def kept(shop):
    """A register with six entries."""
    shop.observe("A-07")
    shop.appoint("A-07")
    shop.observe("A-08")
    shop.add("suspension", "A-08", why="gloves out of date")
    shop.observe("A-07", of="rescue-course")
    return shop


def breaks(folder, head=""):
    with ledger.reading(folder) as connection:
        return [(one.seq, one.says) for one in verify(connection, head)]


def tamper(shop, *statements):
    """A copy of the register with statements run on it by hand, triggers and keys out of the way."""
    copy = shop.folder.parent / "copy"
    shutil.copytree(shop.folder, copy)
    connection = sqlite3.connect(copy / ledger.FILE, isolation_level=None)
    connection.execute("PRAGMA foreign_keys = OFF")
    for statement in statements:
        connection.execute(*statement) if isinstance(statement, tuple) else connection.execute(statement)
    connection.close()
    return copy


def entry(folder, seq):
    with ledger.reading(folder) as connection:
        return next(r.entry for r in ledger.recorded(connection) if r.entry.seq == seq)


def test_an_untouched_copy_holds(kept):
    assert breaks(tamper(kept)) == []


def test_a_changed_content_is_named(kept):
    copy = tamper(kept, "UPDATE contents SET body = replace(body, '2027', '2029') WHERE seq = 2")
    assert breaks(copy) == [(2, "the content of this observation was changed")]


def test_a_changed_field_is_named_and_so_is_what_follows(kept):
    copy = tamper(kept, "UPDATE entries SET person = (SELECT person FROM entries WHERE seq = 4) WHERE seq = 3")
    assert (3, "its fields were changed after it was sealed") in breaks(copy)
    assert (3, "the signature is not its signer's") in breaks(copy)


def test_a_changed_field_with_a_new_head_breaks_the_link_after_it(kept):
    from dataclasses import replace

    from quizgen.records.seal import head_of

    old = entry(kept.folder, 3)
    new = replace(old, at="2026-01-12T09:02:30Z")
    copy = tamper(kept, ("UPDATE entries SET at = ?, head = ? WHERE seq = 3", (new.at, head_of(new))))
    assert [seq for seq, _ in breaks(copy)] == [3, 4]


def test_a_deleted_entry_is_named(kept):
    copy = tamper(kept, "DELETE FROM contents WHERE seq = 4", "DELETE FROM entries WHERE seq = 4")
    found = breaks(copy)
    assert (5, "entry 4 before it is missing") in found
    assert (5, "it does not follow the entry before it: one of them was changed, moved or replaced") in found


def test_the_last_entry_deleted_shows_against_a_printed_head(kept):
    head = entry(kept.folder, 6).head
    copy = tamper(kept, "DELETE FROM contents WHERE seq = 6", "DELETE FROM entries WHERE seq = 6")
    assert breaks(copy) == []
    assert breaks(copy, head) == [
        (0, "the printed head is not in this file: it is older than the print, or another register")
    ]


def test_two_swapped_entries_are_named(kept):
    copy = tamper(
        kept,
        *(f"UPDATE {table} SET seq = {to} WHERE seq = {of}"
          for table in ("entries", "contents") for of, to in ((3, 99), (4, 3), (99, 4))),
    )  # fmt: skip
    assert {seq for seq, _ in breaks(copy)} >= {3, 4, 5}


def test_a_forged_entry_with_a_key_of_ones_own_is_refused(kept):
    last = entry(kept.folder, 6)
    forged = sealed(Entry(7, last.head, "appointment", last.person, "0" * 64, last.at, last.signer), new_key())
    columns = ", ".join(Entry.__dataclass_fields__)
    values = tuple(getattr(forged, name) for name in Entry.__dataclass_fields__)
    copy = tamper(kept, (f"INSERT INTO entries ({columns}) VALUES ({', '.join('?' * 9)})", values))
    assert (7, "the signature is not its signer's") in breaks(copy)


def test_a_signer_slipped_into_the_list_is_named(kept):
    copy = tamper(kept, "INSERT INTO signers VALUES ('0123456789abcdef', 'X', 'trainer', '{}')")
    assert breaks(copy) == [(0, "signer 0123456789abcdef stands in the list, but no entry admits them")]


def test_a_content_taken_out_without_an_erase_entry_is_named(kept):
    copy = tamper(kept, "DELETE FROM contents WHERE seq = 5")
    assert breaks(copy) == [(5, "its content is missing, and no entry says that it was erased")]


def test_a_suspension_hidden_by_erasing_its_person_is_named(kept):
    copy = tamper(kept, "DELETE FROM people WHERE code = 'A-08'")
    assert {says for _, says in breaks(copy)} == {"the person it is about is missing in the list of people"}


def test_a_register_rewritten_from_the_start_shows_only_against_a_printed_head(kept, course, tmp_path):
    """What no signature of one's own can show: this is why a second person keeps the head."""
    head = entry(kept.folder, 6).head
    other = tmp_path / "other"
    ledger.start(other, course.course.id, "T. R.", "trainer", "another passphrase", kept.clock)
    assert breaks(other) == []
    assert len(breaks(other, head)) == 1


def test_time_set_back_is_refused_and_named_if_it_was_overruled(kept):
    kept.clock -= timedelta(days=30)
    with pytest.raises(RegisterError, match="clock says .* but the last entry was made at"):
        kept.observe("A-09")
    kept.write(lambda pen: pen.add("renewal", "", {"day": "2026-01-01"}), clock_was_wrong=True)
    assert [says.partition(":")[0] for _, says in breaks(kept.folder)] == ["time runs backwards"]


@pytest.mark.parametrize("body", ["[]", "null", "{", "[" * 100_000, '{"a": NaN}'])
def test_a_content_that_is_no_record_is_a_break_and_no_crash(kept, body):
    copy = tamper(kept, ("UPDATE contents SET body = ? WHERE seq = 3", (body,)))
    assert breaks(copy) == [(3, "the content of this appointment was changed")]


@pytest.mark.parametrize("file", [b"", b"not a database at all, but long enough to look like one" * 50, b"\0" * 4096])
def test_a_file_that_is_no_register_is_refused_in_one_line(tmp_path, file):
    (tmp_path / ledger.FILE).write_bytes(file)
    with pytest.raises(RegisterError) as refused, ledger.reading(tmp_path) as connection:
        verify(connection)
    assert "\n" not in str(refused.value)


def test_a_register_of_a_newer_quizgen_is_refused(kept):
    copy = tamper(kept, "UPDATE about SET value = '99' WHERE key = 'schema'")
    with pytest.raises(RegisterError, match="newer quizgen"), ledger.reading(copy):
        pass


def test_every_kind_of_content_is_plain_data_with_texts_for_numbers(kept):
    with ledger.reading(kept.folder) as connection:
        for record in ledger.recorded(connection):
            assert json.loads(json.dumps(record.body)) == record.body
    with pytest.raises(ValueError, match="floating"):
        kept.write(lambda pen: pen.add("observation", "", {"mark": 0.5}))
    assert breaks(kept.folder) == []

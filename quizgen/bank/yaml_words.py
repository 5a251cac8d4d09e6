"""What an author is told of the shape of a file: what is wrong, what was expected, what to do."""

from quizgen.bank.yaml_limits import DEEPEST, LONGEST_NAME

CURE = "put the text on the next lines under >, or between quotes"
BEGINNINGS = {mark: f"a text cannot begin with {mark} here: {CURE}" for mark in "&*!@`%?|>,]}"} | {
    "[": f"square brackets are used for the empty list [] only: write each entry on its own line after a "
    f"dash; if this is a text, {CURE}",
    "{": f"curly brackets are not used here: write each field on its own line; if this is a text, {CURE}",
}
BESIDE_SIGN = (
    "the text under > or | begins on the next line, and nothing stands beside the sign: move it there; "
    "a text that begins with > or | stands between quotes"
)
COLON = f'a colon before a space or a line end cannot stand in a text without quotes (": "): {CURE}'
BLANK_IN_BLOCK = "a blank line above, under > or |, holds more spaces than this line begins with: delete those spaces"
COMMENT_INSIDE = "a comment stands inside a text: move it above or below, or put the text under > without it"
DASH_INSIDE = (
    "this line only continues the text above: begin an entry in the column of the dash before it, and a "
    "list on the line below its field; if it is text, put all of it on the next lines under >"
)
CUT = "the text stops at #: put the text on the next lines under >, or leave two spaces before a comment"
DOUBLE = "put the whole text under >, or write the quote inside it twice ('it''s')"
EMPTY = "the file is empty: fields (name: text) were expected"
ENTRY_AMONG_FIELDS = "an entry of a list (- …) stands among fields: give it a field of its own, or delete the dash"
FIELD_AMONG_ENTRIES = (
    "a field (name: …) stands among the entries of a list: begin it with a dash, or give it the spaces of "
    "the field it stands beside"
)
FIELD_IN_TEXT = (
    "a field begins inside the text above: give this line the spaces of the field it stands beside; if it "
    f"is text (with a colon), {CURE}"
)
GLUED = "a comment begins right behind the text: leave two spaces before #"
LIST_BEHIND = (
    f"a list begins on the line below its field: move it there; if this is a text that begins with a dash, {CURE}"
)
LONG_NAME = f"the name of a field is longer than {LONGEST_NAME} characters: make it shorter"
NO_ESCAPE = "no escape that is known here: write \\\\ for a backslash between double quotes, or use single quotes"
NO_FIELD = (
    "a field (name: text) was expected: add its colon, or give the line more spaces if it continues the text above"
)
NO_FIELDS = "the file must begin with a field (name: text): check the colon and the space behind it"
NO_NAME = "the name of a field is bare text on one line, with its colon behind it: write name: text"
NOT_CLOSED = "the quote opened here is never closed: close it, or put the text on the next lines under >"
NOTHING_MORE = (
    f"nothing more was expected on this line: begin a field or an entry on a line of its own; if this is text, {CURE}"
)
SECOND = "the file ends before this --- or ...: delete that line, or put what follows into a file of its own"
TIGHT_DASH = "an entry of a list needs a space behind its dash: write - name: text"
TIGHT_COLON = "a field needs a space behind its colon: write name: text"
TOO_DEEP = f"more than {DEEPEST} fields and lists lie within each other: write it flatter"
UNREADABLE = "this cannot be read: check the spaces at the start of the line, its quotes and its colons"

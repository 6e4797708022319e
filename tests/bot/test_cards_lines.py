"""The line of a key is where it stands, whatever stands around it."""

from __future__ import annotations

import pytest

from bot.cards.lines import Path, key_lines

TEXT = '''\
# a comment = 1
id = "x"  # with a word
"quoted key" = 'a # b'

long = """
fake = 1
[fake]
"""
list = [
  ["a", "]"],  # [[no]]
  # fake = 2
]
after = 1
a.b.c = 1
[[step]]
do = "smoke"
[[step]]
do = "rest"
[step.deep]
key = 1
[[step.deeper]]
key = 1
[[step]]
[ hold ]
inline = { x = 1, y = "}" }
last = \'\'\'
'' \'\'\'
end = 1'''


@pytest.mark.parametrize(
    ("path", "line"),  # by hand: counted in the text above
    [
        (("id",), 2),
        (("quoted key",), 3),
        (("long",), 5),
        (("list",), 9),
        (("after",), 13),
        (("a", "b", "c"), 14),
        (("step",), 15),
        (("step", 0), 15),
        (("step", 0, "do"), 16),
        (("step", 1, "do"), 18),
        (("step", 1, "deep"), 19),
        (("step", 1, "deep", "key"), 20),
        (("step", 1, "deeper", 0, "key"), 22),
        (("step", 2), 23),
        (("hold",), 24),
        (("hold", "inline"), 25),
        (("hold", "end"), 28),
    ],
)
def test_a_key_is_found_on_its_line(path: Path, line: int) -> None:
    assert key_lines(TEXT)[path] == line


def test_what_only_looks_like_a_key_is_not_found() -> None:
    assert not [path for path in key_lines(TEXT) if "fake" in path or "no" in path]


def test_a_text_without_keys_has_none() -> None:
    assert key_lines("") == {}
    assert key_lines("# nothing\n\n") == {}

"""The parts of the Telegram front-end that need no line, and what it knows of itself."""

from __future__ import annotations

import subprocess
import sys
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.chat.telegram.markup import LONGEST_CAPTION, LONGEST_TEXT, parts_of, units
from bot.chat.telegram.menu import menus
from bot.phrases import SLASHES
from bot.ports import Mention, Outgoing
from core.model import Sound
from tests.bot.telegram_line import connected, until
from tests.doubles.bot_api.text import parsed

WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=3000)


class Plain(HTMLParser):
    """Reads HTML back with the standard library, as an outside check of our escaping."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.text = ""

    def handle_data(self, data: str) -> None:
        self.text += data


def plain(html: str) -> str:
    reader = Plain()
    reader.feed(html)
    reader.close()
    return reader.text


@given(st.lists(WORDS, min_size=1, max_size=5), st.sampled_from([LONGEST_TEXT, LONGEST_CAPTION]))
def test_parts_fit_and_together_say_what_was_to_be_said(lines: list[str], longest: int) -> None:
    parts = parts_of(Outgoing(tuple(lines), sound=Sound.ALARM), longest)
    texts = [plain(part) for part in parts]
    assert [text for text in texts if units(text) > LONGEST_TEXT] == []
    assert units(texts[-1]) <= longest if texts else True
    assert "".join("".join(texts).split()) == "".join("".join(lines).split())
    for part in parts:
        parsed(part)  # no tag is torn


def test_a_mention_is_on_the_last_line_of_the_last_part() -> None:
    lines = tuple("x" * 100 for _ in range(60))
    *_, last = parts_of(Outgoing(lines, mention=(Mention("7", "B<o"),)))
    assert last.endswith('\n<a href="tg://user?id=7">B&lt;o</a>')


def test_the_library_is_not_loaded_before_it_is_used() -> None:
    code = "import bot.chat.telegram, sys; sys.exit('telegram' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_every_slash_name_is_in_the_menu_of_a_private_chat_in_both_languages() -> None:
    private = [menu for menu in menus() if menu.scope == "all_private_chats"]
    assert {menu.language for menu in private} == {"", "es"}
    assert all(tuple(name for name, _ in menu.rows) == SLASHES for menu in private)


def test_the_groups_menu_has_no_changes_only_leads_may_make() -> None:
    group = next(menu for menu in menus() if menu.scope == "all_group_chats")
    names = {name for name, _ in group.rows}
    assert names.isdisjoint({"heads", "cook", "late"})
    assert {"on", "off", "temp", "sos", "help"} <= names


async def test_the_menus_are_set_once_for_each_scope_and_language() -> None:
    async with connected() as line:
        line.listen()
        await until(lambda: len(line.api.methods.menus) == len(menus()))
        there = {
            command["command"] for command in line.api.methods.menus["all_private_chats", "es"]
        }
        assert there == set(SLASHES)


@pytest.mark.parametrize("hears_all", [False, True])
async def test_it_knows_whether_it_hears_everything(hears_all: bool) -> None:
    async with connected(hears_all=hears_all) as line:
        assert line.chat.known.hears_all is hears_all
        assert await line.chat.hears("-1001") is hears_all
        assert await line.chat.hears("1002") is True
        line.group.bot_status = "administrator"
        assert await line.chat.hears("-1001") is True
        assert await line.chat.hears("-404") in {None, True}


async def test_a_link_opens_a_chat_with_a_code() -> None:
    async with connected() as line:
        assert line.chat.link("Ab_9-x") == "https://t.me/pit_bot?start=Ab_9-x"
        assert line.chat.link("x", group=True) == "https://t.me/pit_bot?startgroup=x"
        with pytest.raises(ValueError, match="1 to 64"):
            line.chat.link("no spaces")


async def test_what_is_heard_is_dated_for_the_watchdog() -> None:
    async with connected() as line:
        assert line.chat.known.heard_at is None
        line.bo.say("A 38")
        await line.hears()
        assert line.chat.known.heard_at == line.clock.now()

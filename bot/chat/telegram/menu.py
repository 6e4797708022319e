"""The command menu: the slash names of the table of phrases, each with an example, per language.

Everybody's menu in a group leaves out what only leads may change; theirs is in the private chat
and in the administrators' menu.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from bot.phrases import ROWS, SLASHES

if TYPE_CHECKING:
    from telegram import Bot

LONGEST_DESCRIPTION = 256
LANGUAGES = ("", "es")
"""As Telegram asks: '' is for everybody whose language has no menu of its own."""

MOST_EXAMPLES = 2


@dataclass(frozen=True, slots=True)
class Menu:
    """One menu: for which scope and language, the names and what stands beside them."""

    scope: str
    language: str
    rows: tuple[tuple[str, str], ...]


def menus() -> tuple[Menu, ...]:
    """Return every menu."""
    return tuple(
        Menu(scope, language, tuple(_rows(language, changes=changes)))
        for scope, changes in (
            ("all_private_chats", True),
            ("all_chat_administrators", True),
            ("all_group_chats", False),
        )
        for language in LANGUAGES
    )


def _rows(language: str, *, changes: bool) -> Iterator[tuple[str, str]]:
    for slash in SLASHES:
        rows = [row for row in ROWS if row.slash == slash]
        if rows and (changes or any(row.group not in {"change", "cards"} for row in rows)):
            said = (row.es if language == "es" else row.en for row in rows)
            plain = dict.fromkeys(text.removeprefix(f"/{slash} ") for text in said)
            shown = [text for text in plain if text[0] not in "/["][:MOST_EXAMPLES]
            yield slash, " · ".join(shown)[:LONGEST_DESCRIPTION] or slash


async def set_menus(bot: Bot) -> None:
    """Tell Telegram the menus."""
    from telegram import (
        BotCommandScope,
        BotCommandScopeAllChatAdministrators,
        BotCommandScopeAllGroupChats,
        BotCommandScopeAllPrivateChats,
    )

    scopes: dict[str, BotCommandScope] = {
        "all_private_chats": BotCommandScopeAllPrivateChats(),
        "all_chat_administrators": BotCommandScopeAllChatAdministrators(),
        "all_group_chats": BotCommandScopeAllGroupChats(),
    }
    for menu in menus():
        await bot.set_my_commands(
            menu.rows, scope=scopes[menu.scope], language_code=menu.language or None
        )

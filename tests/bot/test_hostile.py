"""Whatever is typed or sent to a front-end: an answer, silence or a KitchenError, never a bug."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from telegram import Update

from bot.cards import read_event
from bot.chat.telegram.updates import Ears
from bot.directory import NamesDirectory
from bot.examples import GOLDEN_WEDDING
from bot.phrases.table import ROWS, SLASHES
from bot.ports import Heard, Incoming
from bot.replies import Reply, notice_sends, reply_send
from bot.understand import Understanding
from core.cook import Cook, decide
from core.cook.decision import booked
from core.errors import KitchenError
from core.facts import StartCook
from core.model import Moment
from tests.bot.telegram_line import NOON

BOUNDED = settings(deadline=None, max_examples=150, derandomize=True)
PEOPLE = ("ana", "bo", "carmen", "dev", "eli", "client")

# ------------------------------------------------------------------ what is typed

nasty = st.sampled_from(
    [
        *("\0", "\u202e", "e\u0301" * 40, "٣٨", "1e999", "-0", "99999999999999999999", "NaN"),
        *("<b>", "&amp;", "`*_[x](y)", "%s {0} {name}", "'; DROP TABLE facts; --", "../../x"),
        *(
            "12:61",
            "25:00",
            "T-999 00:00",
            "°C",
            "½",
            "１２",
            "🔥" * 50,
            "\ud800",
            "/",
            "[0]",
            "[99]",
        ),
    ]
)
trade = st.sampled_from(sorted({word for r in ROWS for word in f"{r.en} {r.es}".split()}))
numbers = st.one_of(st.integers().map(str), st.floats().map(str), st.integers(-5, 130).map(str))
slashes = st.sampled_from([f"/{name}" for name in SLASHES])
typed = st.one_of(
    st.text(max_size=400),
    st.lists(st.one_of(nasty, trade, numbers, slashes), min_size=1, max_size=9).map(" ".join),
    st.builds(str.__add__, st.sampled_from([row.en for row in ROWS]), st.text(max_size=30)),
)


@cache
def started() -> tuple[Cook, datetime]:
    cards = read_event(GOLDEN_WEDDING)
    now = cards.event.instant(Moment(0, 11, 0))
    wish = StartCook("golden-wedding-1", cards, {})
    facts = decide(Cook(), wish, by="ana", at=now, now=now).facts
    return booked(Cook(), facts, "ana", now), now + timedelta(hours=1)


@given(typed, st.sampled_from(PEOPLE), st.none() | st.text(max_size=5))
@BOUNDED
def test_whatever_is_typed_is_answered_or_refused_in_words(
    text: str, who: str, choice: str | None
) -> None:
    cook, now = started()
    message = Incoming("x", "1", f"@{who}", who, text, now, choice=choice, private=True)
    reply = Reply(Heard(1, message), NamesDirectory("x", "golden-wedding-1"), cook, "g", now)
    try:
        decision = Understanding().decision(reply, now)
    except KitchenError as error:
        decision = reply.error(error)
    for send in (*reply_send(reply, decision), *notice_sends(reply.voice, decision.notices)):
        assert all(line.strip() for line in send.message.lines)
    booked(cook, decision.facts, who, now)


# ------------------------------------------------------------------ what a platform sends

scalars = st.one_of(st.none(), st.booleans(), st.integers(), st.text(max_size=12))
junk = st.recursive(
    scalars,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3)
    ),
    max_leaves=6,
)
whole = st.integers(-(2**52), 2**52)
users = st.fixed_dictionaries(
    {"id": whole, "is_bot": st.booleans(), "first_name": st.text(max_size=9)},
    optional={"username": st.text(max_size=9), "language_code": st.text(max_size=3)},
)
chats = st.fixed_dictionaries(
    {"id": whole, "type": st.sampled_from(["private", "group", "supergroup", "channel", "?"])},
    optional={"title": st.text(max_size=9), "is_forum": st.booleans()},
)
files = st.fixed_dictionaries(
    {"file_id": st.text(max_size=9), "file_unique_id": st.text(max_size=9)},
    optional={"file_size": whole, "file_name": st.text(max_size=9), "mime_type": st.text()},
)
photos = st.fixed_dictionaries(
    {
        "file_id": st.text(max_size=9),
        "file_unique_id": st.text(max_size=9),
        "width": whole,
        "height": whole,
    }
)
dates = st.integers(0, 2**33)
messages = st.fixed_dictionaries(
    {"message_id": whole, "date": dates, "chat": chats},
    optional={
        "from": users,
        "text": typed,
        "caption": st.text(max_size=40),
        "entities": st.lists(
            st.fixed_dictionaries({"type": st.text(max_size=9), "offset": whole, "length": whole}),
            max_size=2,
        ),
        "document": files,
        "photo": st.lists(photos, max_size=3),
        "new_chat_members": st.lists(users, max_size=2),
        "left_chat_member": users,
        "migrate_to_chat_id": whole,
        "is_topic_message": st.booleans(),
        "message_thread_id": whole,
        "location": junk,
    },
)
reactions = st.lists(
    st.fixed_dictionaries({"type": st.sampled_from(["emoji", "?"]), "emoji": st.text(max_size=3)}),
    max_size=2,
)
members = st.fixed_dictionaries(
    {"user": users, "status": st.sampled_from(["member", "left", "kicked", "administrator", "?"])}
)
moves = st.fixed_dictionaries(
    {
        "chat": chats,
        "from": users,
        "date": dates,
        "old_chat_member": members,
        "new_chat_member": members,
    }
)
updates = st.fixed_dictionaries(
    {"update_id": whole},
    optional={
        "message": messages,
        "edited_message": messages,
        "callback_query": st.fixed_dictionaries(
            {"id": st.text(max_size=9), "from": users, "chat_instance": st.text(max_size=9)},
            optional={"data": st.text(max_size=70), "message": messages},
        ),
        "message_reaction": st.fixed_dictionaries(
            {
                "chat": chats,
                "message_id": whole,
                "date": dates,
                "old_reaction": reactions,
                "new_reaction": reactions,
            },
            optional={"user": users, "actor_chat": chats},
        ),
        "my_chat_member": moves,
        "chat_member": moves,
        "poll": junk,
        "something_new": junk,
    },
)


@given(updates)
@BOUNDED
def test_whatever_update_comes_it_is_heard_or_left_out(update: dict[str, Any]) -> None:
    try:
        read = Update.de_json(update)
    except (TypeError, ValueError, KeyError, AttributeError, OverflowError, OSError):
        return  # the library's own refusal: nothing of it comes to us
    assert read is not None
    for heard in Ears("pit_bot", 811000, NOON).heard(read):
        assert heard.network == "telegram"
        assert heard.ext_id
        assert heard.sent.tzinfo is not None

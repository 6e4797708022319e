"""What an event says, read from the event alone; whatever is in it, reading it never fails."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.chat.matrix.heard import Reactions, Scene, Seen, incoming
from bot.ports import Happened, Incoming
from tests.published import published

US = "@pit:pit.test"
SCENE = Scene("!crew", US, encrypted=False, private=False, names={"@bo:pit.test": "Bo"})


def event(kind: str, content: Any, **more: Any) -> dict[str, Any]:
    return {
        "type": kind,
        "content": content,
        "sender": "@bo:pit.test",
        "event_id": "$1",
        "origin_server_ts": 1_934_000_000_000,
        **more,
    }


def heard(source: dict[str, Any], **more: Any) -> Incoming | None:
    return incoming(Seen(source, **more), SCENE, Reactions())


def text(body: Any, **more: Any) -> dict[str, Any]:
    return event("m.room.message", {"msgtype": "m.text", "body": body, **more})


def test_a_text_carries_who_when_and_what() -> None:
    said = heard(text("b2 on"))
    assert said is not None
    assert (said.who, said.name, said.text, said.happened) == (
        "@bo:pit.test",
        "Bo",
        "b2 on",
        Happened.SAID,
    )
    assert said.sent.timestamp() == 1_934_000_000


@pytest.mark.parametrize(
    "source",
    [
        {**text("our own"), "sender": US},
        event("m.room.message", {"msgtype": "m.notice", "body": "another bot"}),
        event("m.room.message", {"msgtype": "m.location", "body": "here", "geo_uri": "geo:1,2"}),
        event("m.room.topic", {"topic": "x"}),
        event("m.room.redaction", {}, redacts="$unknown"),
        event("m.reaction", {"m.relates_to": {"event_id": "$2", "key": "\ufe0f"}}),
    ],
    ids=["own", "notice", "place", "state", "unknown redaction", "nothing but a selector"],
)
def test_what_is_not_for_us_is_not_heard(source: dict[str, Any]) -> None:
    assert heard(source) is None


@published("Matrix specification v1.11, client-server API, 'Fallbacks for rich replies'")
def test_the_quoted_lines_of_a_reply_are_left_out() -> None:
    relates = {"m.relates_to": {"m.in_reply_to": {"event_id": "$call"}}}
    said = heard(text("> <@pit:pit.test> flip b1\n> 12:00\n\ndone", **relates))
    assert said is not None
    assert (said.text, said.reply_to) == ("done", "$call")


def test_a_line_that_begins_like_a_quote_is_kept_where_nothing_is_answered() -> None:
    said = heard(text("> 60 heads"))
    assert said is not None
    assert said.text == "> 60 heads"


def test_a_word_in_a_thread_answers_the_last_message_of_it() -> None:
    relation: dict[str, Any] = {
        "rel_type": "m.thread",
        "event_id": "$root",
        "is_falling_back": True,
        "m.in_reply_to": {"event_id": "$last"},
    }
    said = heard(text("done", **{"m.relates_to": relation}))
    assert said is not None
    assert said.reply_to == "$last"


def test_a_caption_is_the_text_and_a_name_without_a_folder_the_files() -> None:
    content = {
        "msgtype": "m.image",
        "body": "the mayo",
        "filename": "../../label.png",
        "url": "mxc://pit.test/abc",
        "info": {"mimetype": "image/png", "size": 812},
    }
    said = heard(event("m.room.message", content))
    assert said is not None
    (file,) = said.attached
    assert (said.text, file.name, file.kind, file.size) == (
        "the mayo",
        "label.png",
        "image/png",
        812,
    )
    assert json.loads(file.ref) == {"url": "mxc://pit.test/abc"}
    bare = heard(event("m.room.message", {**content, "body": "label.png", "filename": "label.png"}))
    assert bare is not None
    assert bare.text == ""


@pytest.mark.parametrize("url", ["http://pit.test/x", "file:///etc/passwd", 7, None])
def test_a_file_from_anywhere_else_is_no_file(url: Any) -> None:
    content = {"msgtype": "m.file", "body": "x", "url": url}
    assert heard(event("m.room.message", content)) is None


def test_in_an_encrypted_room_only_sealed_words_count() -> None:
    scene = replace(SCENE, encrypted=True)
    clear = incoming(Seen(text("lift the stop")), scene, Reactions())
    sealed = incoming(Seen(text("lift the stop"), sealed=True), scene, Reactions())
    assert clear is not None
    assert (clear.happened, clear.text) == (Happened.UNREADABLE, "")
    assert sealed is not None
    assert sealed.happened is Happened.SAID


def member(who: str, was: str, now: str, by: str) -> dict[str, Any]:
    unsigned = {"prev_content": {"membership": was}, "prev_sender": "@ana:pit.test"}
    content = {"membership": now}
    return event("m.room.member", content, state_key=who, sender=by, unsigned=unsigned)


@pytest.mark.parametrize(
    ("source", "happened", "who"),
    [
        (member(US, "invite", "join", US), Happened.ADDED, "@ana:pit.test"),
        (member(US, "join", "leave", "@ana:pit.test"), Happened.REMOVED, "@ana:pit.test"),
        (member(US, "join", "ban", "@ana:pit.test"), Happened.REMOVED, "@ana:pit.test"),
        (member("@bo:pit.test", "invite", "join", "@bo:pit.test"), Happened.JOINED, "@bo:pit.test"),
        (member("@bo:pit.test", "join", "ban", "@ana:pit.test"), Happened.LEFT, "@bo:pit.test"),
        (member("@bo:pit.test", "join", "join", "@bo:pit.test"), None, ""),
        (member("@bo:pit.test", "leave", "invite", "@ana:pit.test"), None, ""),
        (member("@bo:pit.test", "invite", "leave", "@bo:pit.test"), None, ""),
        (member(US, "join", "leave", US), None, ""),
    ],
)
def test_comings_and_goings_name_who_they_are_about(
    source: dict[str, Any], happened: Happened | None, who: str
) -> None:
    told = heard(source)
    assert (told.happened if told else None) is happened
    assert (told.who if told else "") == who


NAMES = st.sampled_from(
    [
        "body", "msgtype", "m.relates_to", "m.in_reply_to", "m.new_content", "rel_type", "event_id",
        "key", "url", "file", "info", "size", "membership", "prev_content", "filename", "hashes",
    ]
)  # fmt: skip
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=4),
    max_leaves=12,
)
KINDS = st.sampled_from(
    ["m.room.message", "m.room.member", "m.reaction", "m.room.redaction", "m.room.encrypted"]
)


@given(
    kind=KINDS, content=JSON, stamp=JSON, unsigned=JSON, key=JSON, sealed=st.booleans(),
    msgtype=st.sampled_from(["m.text", "m.image", "m.file"]),
)  # fmt: skip
def test_whatever_others_send_reading_it_never_fails(
    kind: str, content: Any, stamp: Any, unsigned: Any, key: Any, sealed: bool, msgtype: str
) -> None:
    if isinstance(content, dict):
        content.setdefault("msgtype", msgtype)
    source = event(kind, content, origin_server_ts=stamp, unsigned=unsigned, state_key=key)
    told = heard(source, sealed=sealed)
    if told is not None:
        assert all(isinstance(t, str) for t in (told.text, told.who, told.name, told.ext_id))

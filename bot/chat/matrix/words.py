"""A neutral message to the contents of events. Markup is made here and nowhere else.

What the crew typed comes back escaped; of HTML there is only bold, a line break and a name that
rings. A silent message is a notice, which phones do not ring for; whom it rings is said in so many
words, so that a name in a text rings nobody.
"""

from __future__ import annotations

import hashlib
import json
from html import escape
from typing import Any

from bot.ports import Medium, Outgoing
from core.model import Sound

MOST_BYTES = 45_000
"""Text and markup together, as the library writes them, six bytes for any letter but the plainest:
an encrypted event of 65,536 bytes holds about 48,000 of them.
"""

Content = dict[str, Any]


def transaction(key: str, part: str = "") -> str:
    """Return the transaction id of a send, the same for ever for the same key.

    Examples
    --------
    >>> transaction("c:wedding-1:A.pull:ben") == transaction("c:wedding-1:A.pull:ben")
    True
    >>> transaction("r:1:0", "file") == transaction("r:1:0")
    False
    """
    return hashlib.sha256(f"{key}\n{part}".encode()).hexdigest()[:40]


def body_of(message: Outgoing) -> str:
    """Return the plain text: who is rung, the lines, the choices numbered on one line.

    Examples
    --------
    >>> body_of(Outgoing(("Flip b1 now", "tongs"), ("done", "+5 min")))
    'Flip b1 now\\ntongs\\n1 done · 2 +5 min'
    """
    lines = list(message.lines)
    names = [m.name for m in message.mention if m.name not in "".join(lines[:1])]
    if names and lines:
        lines[0] = f"{', '.join(names)}: {lines[0]}"
    return "\n".join([*lines, *_numbered(message)])


def _numbered(message: Outgoing) -> list[str]:
    if not message.choices:
        return []
    return [" · ".join(f"{n} {choice}" for n, choice in enumerate(message.choices, 1))]


def html_of(message: Outgoing) -> str:
    """Return the same as HTML: the line that rings is bold, a name that rings is a link.

    Examples
    --------
    >>> html_of(Outgoing(("Pull <b2> & rest",), sound=Sound.ONCE))
    '<strong>Pull &lt;b2&gt; &amp; rest</strong>'
    """
    first, *rest = [escape(line, quote=False) for line in body_of(message).split("\n")]
    for person in message.mention:
        name = escape(person.name, quote=False)
        link = f'<a href="https://matrix.to/#/{escape(person.who)}">{name}</a>'
        first = first.replace(name, link, 1)
    if message.sound is not Sound.SILENT:
        first = f"<strong>{first}</strong>"
    return "<br>".join([first, *rest])


def text_content(message: Outgoing) -> Content:
    """Return the content of a text or, if nobody is to be rung, a notice."""
    body, html = body_of(message), html_of(message)
    rings = message.sound is not Sound.SILENT
    content: Content = {"msgtype": "m.text" if rings else "m.notice", "body": body}
    if html != body:
        content |= {"format": "org.matrix.custom.html", "formatted_body": html}
    content["m.mentions"] = _mentions(message) if rings else {}
    return content


def _mentions(message: Outgoing) -> Content:
    return {"user_ids": [m.who for m in message.mention]} if message.mention else {}


def picture_content(message: Outgoing, medium: Medium, file: Content) -> Content:
    """Return the content of a picture with the message as its caption, and its words for who
    cannot see it.
    """
    text = body_of(message)
    alt = medium.alt if medium.alt and medium.alt not in text else ""
    body = "\n".join(part for part in (text, alt) if part) or medium.name
    content: Content = {"msgtype": "m.image", "body": body, "filename": medium.name}
    if text:
        html = "<br>".join(part for part in (html_of(message), escape(alt, quote=False)) if part)
        content |= {"format": "org.matrix.custom.html", "formatted_body": html}
    rings = message.sound is not Sound.SILENT
    content["m.mentions"] = _mentions(message) if rings else {}
    return content | file


def document_content(medium: Medium, file: Content) -> Content:
    """Return the content of a document; its words for who cannot open it are its caption."""
    kind = "m.image" if medium.kind.startswith("image/") else "m.file"
    body = medium.alt or medium.name
    return {"msgtype": kind, "body": body, "filename": medium.name, "m.mentions": {}} | file


def related(content: Content, reply_to: str | None, root: str | None) -> Content:
    """Return a content as a reply, as part of a thread, or both.

    Examples
    --------
    >>> related({}, "$a", None)["m.relates_to"]
    {'m.in_reply_to': {'event_id': '$a'}}
    """
    reply_to = reply_to if reply_to and reply_to.startswith("$") else None
    if root:
        relation: Content = {
            "rel_type": "m.thread",
            "event_id": root,
            "is_falling_back": reply_to is None,
            "m.in_reply_to": {"event_id": reply_to or root},
        }
    elif reply_to:
        relation = {"m.in_reply_to": {"event_id": reply_to}}
    else:
        return content
    return content | {"m.relates_to": relation}


def edited(content: Content, event_id: str) -> Content:
    """Return a content that replaces an earlier one; clients that cannot show it after a star.

    A replaced message rings nobody again.
    """
    new = content | {"m.mentions": {}}
    return {
        **new,
        "body": f"* {new['body']}",
        "m.new_content": new,
        "m.relates_to": {"rel_type": "m.replace", "event_id": event_id},
    }


def tap(event_id: str, emoji: str) -> Content:
    """Return a reaction."""
    return {"m.relates_to": {"rel_type": "m.annotation", "event_id": event_id, "key": emoji}}


def fits(content: Content) -> bool:
    """Say whether a content is short enough for one event, markup dropped if that helps."""
    size = len(json.dumps(content.get("body", "")))
    html = len(json.dumps(content.get("formatted_body", "")))
    if size + html > MOST_BYTES:
        content.pop("format", None)
        content.pop("formatted_body", None)
    return size <= MOST_BYTES

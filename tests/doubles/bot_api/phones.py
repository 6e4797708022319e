"""Simulated phones: what people do with them, what they show, when they ring."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from tests.doubles.bot_api.world import Chat, Post, User

if TYPE_CHECKING:
    from tests.doubles.bot_api.server import BotApi


@dataclass(frozen=True)
class Seen:
    """One message as it came onto a phone."""

    at: datetime
    chat: int
    text: str
    rang: bool
    edited: bool
    post: Post


@dataclass
class Phone:
    """One person's phone."""

    api: BotApi
    user: User
    seen: list[Seen] = field(default_factory=list)
    held: list[tuple[Post, bool, str]] = field(default_factory=list)
    online: bool = True

    # -------------------------------------------------------------- shown

    def shown(self, post: Post, *, edited: bool) -> None:
        """Take a message of the bot: it rings unless it is silent or only an edit."""
        if not self.online:
            self.held.append((post, edited, post.text))
            return
        rang = not post.silent and not edited
        now = self.api.clock.now()
        self.seen.append(Seen(now, post.chat.id, post.text, rang, edited, post))

    def go(self, *, online: bool) -> None:
        """Lose the signal, or find it: what waited comes then."""
        self.online = online
        if online:
            held, self.held = self.held, []
            for post, edited, _ in held:
                self.shown(post, edited=edited)

    @property
    def private(self) -> Chat:
        """Return the chat with the bot."""
        return self.api.world.chats[self.user.id]

    def rung(self) -> list[Seen]:
        """Return what made the phone sound."""
        return [seen for seen in self.seen if seen.rang]

    def screen(self, chat: Chat | None = None) -> list[str]:
        """Return the texts of the bot that a chat shows now."""
        posts = (chat or self.private).posts.values()
        return [post.text for post in posts if post.author is None]

    def newest(self, chat: Chat | None = None) -> Post:
        """Return the bot's newest message with buttons."""
        posts = (chat or self.private).posts.values()
        return max((p for p in posts if p.author is None and p.buttons), key=lambda p: p.id)

    # -------------------------------------------------------------- done

    def say(
        self,
        text: str,
        chat: Chat | None = None,
        *,
        reply_to: Post | None = None,
        topic: int | None = None,
    ) -> Post:
        """Type a message."""
        return self._post(chat, text=text, reply_to=reply_to.id if reply_to else None, topic=topic)

    def photo(self, content: bytes, caption: str = "", chat: Chat | None = None) -> Post:
        """Send a photo."""
        ref = self.api.world.keep("photo.jpg", content)
        return self._post(chat, text=caption, photo=content, file=ref)

    def document(self, name: str, content: bytes, chat: Chat | None = None) -> Post:
        """Send a file."""
        ref = self.api.world.keep(name, content)
        return self._post(chat, document=(name, content), file=ref)

    def edit(self, post: Post, text: str) -> None:
        """Change what was typed."""
        post.text = text
        now = int(self.api.clock.now().timestamp())
        self.api.updates.add("edited_message", self.api.world.json(post) | {"edit_date": now})

    def tap(self, post: Post, number: int) -> str:
        """Tap a button, counted from 1; return the query's id."""
        buttons = [button for row in post.buttons for button in row]
        return self.press(post, buttons[number - 1]["callback_data"])

    def press(self, post: Post, data: str) -> str:
        """Send a button's data, also one the message no longer has."""
        query = f"q{len(self.api.methods.queries) + len(self.api.methods.answered) + 1}"
        self.api.methods.queries[query] = self.api.clock.now()
        self.api.updates.add(
            "callback_query",
            {
                "id": query, "from": self.user.json, "message": self.api.world.json(post),
                "chat_instance": "1", "data": data,
            },
        )  # fmt: skip
        return query

    def react(self, post: Post, *emoji: str, before: tuple[str, ...] = ()) -> None:
        """Set the reactions under a message; before says which were there."""
        now = int(self.api.clock.now().timestamp())
        self.api.updates.add(
            "message_reaction",
            {
                "chat": post.chat.json, "message_id": post.id, "user": self.user.json, "date": now,
                "old_reaction": [{"type": "emoji", "emoji": e} for e in before],
                "new_reaction": [{"type": "emoji", "emoji": e} for e in emoji],
            },
        )  # fmt: skip

    def _post(self, chat: Chat | None, text: str = "", **what: object) -> Post:
        where = chat or self.private
        now = self.api.clock.now()
        post = Post(where.next_id(), where, self.user, now, text, **what)  # type: ignore[arg-type]  # fields by name
        where.posts[post.id] = post
        if self._reaches_bot(post):
            self.api.updates.add("message", self.api.world.json(post))
        return post

    def _reaches_bot(self, post: Post) -> bool:
        """Tell what privacy mode lets through: commands, mentions, answers to the bot."""
        me = self.api.world.me
        if post.chat.kind == "private" or me["can_read_all_group_messages"]:
            return True
        if post.chat.bot_status == "administrator":
            return True
        answered = post.chat.posts.get(post.reply_to or 0)
        to_me = answered is not None and answered.author is None
        return post.text.startswith("/") or f"@{me['username']}" in post.text or to_me

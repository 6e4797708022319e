"""Users, chats and messages, as the platform keeps them."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

Json = dict[str, Any]


@dataclass
class User:
    """Somebody with a phone."""

    id: int
    name: str
    lang: str = "en"
    started: bool = True
    blocked: bool = False

    @property
    def json(self) -> Json:
        return {
            "id": self.id,
            "is_bot": False,
            "first_name": self.name,
            "language_code": self.lang,
        }


@dataclass
class Post:
    """One message of a chat."""

    id: int
    chat: Chat
    author: User | None
    at: datetime
    text: str = ""
    entities: list[Json] = field(default_factory=list)
    buttons: list[list[Json]] = field(default_factory=list)
    photo: bytes | None = None
    document: tuple[str, bytes] | None = None
    file: str = ""
    topic: int | None = None
    silent: bool = False
    reply_to: int | None = None
    edits: int = 0

    @property
    def is_media(self) -> bool:
        return self.photo is not None or self.document is not None


@dataclass
class Chat:
    """A chat; private ones have the id of their user."""

    id: int
    kind: str
    title: str = ""
    members: dict[int, User] = field(default_factory=dict)
    posts: dict[int, Post] = field(default_factory=dict)
    topics: set[int] = field(default_factory=set)
    pinned: list[int] = field(default_factory=list)
    bot_status: str = "member"
    may_pin: bool = True
    moved_to: int | None = None
    last_id: int = 0

    @property
    def json(self) -> Json:
        if self.kind == "private":
            return {"id": self.id, "type": "private", "first_name": self.title}
        about = {"id": self.id, "type": self.kind, "title": self.title}
        return about | ({"is_forum": True} if self.topics else {})

    def next_id(self) -> int:
        self.last_id += 1
        return self.last_id


@dataclass
class World:
    """Everything the platform knows of this bot's chats."""

    me: Json
    users: dict[int, User] = field(default_factory=dict)
    chats: dict[int, Chat] = field(default_factory=dict)
    files: dict[str, tuple[str, bytes]] = field(default_factory=dict)

    def user(self, number: int, name: str, lang: str = "en", *, started: bool = True) -> User:
        user = self.users[number] = User(number, name, lang, started)
        self.chats[number] = Chat(number, "private", name, {number: user})
        return user

    def group(self, number: int, title: str, *members: User, kind: str = "supergroup") -> Chat:
        chat = self.chats[number] = Chat(number, kind, title, {u.id: u for u in members})
        return chat

    def keep(self, name: str, content: bytes) -> str:
        ref = f"file-{len(self.files) + 1}"
        self.files[ref] = (name, content)
        return ref

    def json(self, post: Post) -> Json:
        """Return a message as the API writes it."""
        author = post.author.json if post.author else self.me
        told: Json = {
            "message_id": post.id,
            "date": int(post.at.timestamp()),
            "chat": post.chat.json,
            "from": author,
        }
        words = "caption" if post.is_media else "text"
        if post.text:
            told[words] = post.text
            told["caption_entities" if post.is_media else "entities"] = [
                e | ({"user": self.users[e["user"]].json} if "user" in e else {})
                for e in post.entities
            ]
        if post.topic is not None:
            told |= {"message_thread_id": post.topic, "is_topic_message": True}
        if post.buttons:
            told["reply_markup"] = {"inline_keyboard": post.buttons}
        if post.photo is not None:
            told["photo"] = [
                {"file_id": f"{post.file}-s", "file_unique_id": "s", "width": 90, "height": 90},
                {
                    "file_id": post.file,
                    "file_unique_id": "l",
                    "width": 1280,
                    "height": 1280,
                    "file_size": len(post.photo),
                },
            ]
        if post.document is not None:
            name, content = post.document
            told["document"] = {
                "file_id": post.file,
                "file_unique_id": "d",
                "file_name": name,
                "file_size": len(content),
            }
        if post.reply_to in post.chat.posts and post.reply_to is not None:
            answered = self.json(post.chat.posts[post.reply_to])
            answered.pop("reply_to_message", None)
            told["reply_to_message"] = answered
        return told

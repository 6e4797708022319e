"""What each method checks and does."""

from __future__ import annotations

import json
from collections.abc import Awaitable, Callable
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from tests.doubles.bot_api.limits import (
    LARGEST_DOWNLOAD,
    LARGEST_UPLOAD,
    LONGEST_ANSWER,
    LONGEST_CAPTION,
    LONGEST_TEXT,
    Flood,
    buttons_of,
    check_commands,
    check_photo,
    text_of,
)
from tests.doubles.bot_api.text import RefusedError, refuse, units
from tests.doubles.bot_api.updates import Updates
from tests.doubles.bot_api.world import Chat, Json, Post, World

QUERY_LIVES = timedelta(minutes=15)
NOT_MODIFIED = (
    "message is not modified: specified new message content and reply markup are exactly the "
    "same as a current content and reply markup of the message"
)


@dataclass
class Request:
    """A call: its arguments as text, and the files that came along."""

    values: dict[str, str]
    files: dict[str, tuple[str, bytes]]

    def number(self, name: str) -> int | None:
        value = self.values.get(name)
        return int(value) if value else None

    def flag(self, name: str) -> bool:
        return self.values.get(name, "").lower() == "true"

    def upload(self, name: str) -> tuple[str, bytes]:
        """Return a file of the request, given directly or by 'attach://'."""
        named = self.values.get(name, "").removeprefix("attach://") or name
        file = self.files.get(named) or self.files.get(name)
        if file is None:
            raise refuse(f"there is no {name} in the request")
        if len(file[1]) > LARGEST_UPLOAD:
            raise RefusedError(413, "Request Entity Too Large")
        return file


@dataclass
class Methods:
    """The methods of one bot."""

    world: World
    updates: Updates
    flood: Flood
    shown: Callable[[Post, bool], None]
    menus: dict[tuple[str, str], list[dict[str, str]]] = field(default_factory=dict)
    answered: list[tuple[str, str]] = field(default_factory=list)
    queries: dict[str, Any] = field(default_factory=dict)

    def named(self, name: str) -> Callable[[Request], Awaitable[object]] | None:
        """Return a method by the name it has in the API."""
        found: dict[str, Callable[[Request], Awaitable[object]]] = {
            "getMe": self._me,
            "getUpdates": self._get_updates,
            "setWebhook": self._set_webhook,
            "deleteWebhook": self._delete_webhook,
            "sendMessage": self._send_message,
            "sendPhoto": self._send_photo,
            "sendDocument": self._send_document,
            "editMessageText": self._edit_text,
            "editMessageCaption": self._edit_caption,
            "editMessageMedia": self._edit_media,
            "editMessageReplyMarkup": self._edit_buttons,
            "pinChatMessage": self._pin,
            "answerCallbackQuery": self._answer,
            "setMyCommands": self._commands,
            "getFile": self._file,
            "getChatMember": self._member,
        }
        return found.get(name)

    # -------------------------------------------------------------- itself

    async def _me(self, _: Request) -> object:
        return self.world.me

    async def _get_updates(self, asked: Request) -> object:
        self._allow(asked)
        return await self.updates.polled(
            asked.number("offset"), asked.number("limit") or 100, asked.number("timeout") or 0
        )

    def _allow(self, asked: Request) -> None:
        kinds = asked.values.get("allowed_updates")
        self.updates.allow(json.loads(kinds) if kinds else None)

    async def _set_webhook(self, asked: Request) -> object:
        self._allow(asked)
        self.updates.set_hook(
            asked.values.get("url", ""),
            asked.values.get("secret_token", ""),
            asked.number("max_connections") or 40,
        )
        return True

    async def _delete_webhook(self, asked: Request) -> object:
        self.updates.set_hook("", "", 1)
        if asked.flag("drop_pending_updates"):
            self.updates.waiting.clear()
        return True

    async def _commands(self, asked: Request) -> object:
        commands = json.loads(asked.values["commands"])
        language = asked.values.get("language_code", "")
        scope = json.loads(asked.values.get("scope") or '{"type": "default"}')["type"]
        check_commands(commands, language)
        self.menus[scope, language] = commands
        return True

    # -------------------------------------------------------------- said

    def _chat(self, asked: Request) -> Chat:
        """Return the chat that is meant, if the bot may speak there."""
        number = asked.number("chat_id")
        chat = self.world.chats.get(number or 0)
        if chat is None:
            raise refuse("chat not found")
        if chat.moved_to is not None:
            raise RefusedError(400, "Bad Request: group chat was upgraded to a supergroup chat",
                               migrate_to_chat_id=chat.moved_to)  # fmt: skip
        if chat.kind == "private":
            user = self.world.users[chat.id]
            if user.blocked:
                raise RefusedError(403, "Forbidden: bot was blocked by the user")
            if not user.started:
                raise RefusedError(403, "Forbidden: bot can't initiate conversation with a user")
        elif chat.bot_status in {"left", "kicked"}:
            raise RefusedError(403, f"Forbidden: bot was kicked from the {chat.kind} chat")
        return chat

    def _new(self, asked: Request, text: str, entities: list[Json], **what: Any) -> object:
        chat = self._chat(asked)
        topic = asked.number("message_thread_id")
        if topic is not None and topic not in chat.topics:
            raise refuse("message thread not found")
        reply = json.loads(asked.values.get("reply_parameters") or "null")
        if reply and reply["message_id"] not in chat.posts:
            if not reply.get("allow_sending_without_reply"):
                raise refuse("message to be replied not found")
            reply = None
        buttons = buttons_of(asked.values.get("reply_markup"))
        self.flood.check(chat.id)
        silent = asked.flag("disable_notification")
        post = Post(
            chat.next_id(), chat, None, self.flood.now, text, entities, buttons,
            topic=topic, silent=silent, reply_to=reply["message_id"] if reply else None, **what,
        )  # fmt: skip
        chat.posts[post.id] = post
        self.shown(post, False)
        return self.world.json(post)

    async def _send_message(self, asked: Request) -> object:
        html = asked.values.get("text", "")
        text, entities = text_of(html, asked.values.get("parse_mode", ""), LONGEST_TEXT)
        if not text:
            raise refuse("message text is empty")
        return self._new(asked, text, entities)

    def _caption(self, asked: Request) -> tuple[str, list[Json]]:
        return text_of(
            asked.values.get("caption", ""), asked.values.get("parse_mode", ""), LONGEST_CAPTION
        )

    async def _send_photo(self, asked: Request) -> object:
        name, content = asked.upload("photo")
        check_photo(content)
        text, entities = self._caption(asked)
        ref = self.world.keep(name, content)
        return self._new(asked, text, entities, photo=content, file=ref)

    async def _send_document(self, asked: Request) -> object:
        name, content = asked.upload("document")
        text, entities = self._caption(asked)
        ref = self.world.keep(name, content)
        return self._new(asked, text, entities, document=(name, content), file=ref)

    # -------------------------------------------------------------- edited

    def _old(self, asked: Request) -> Post:
        chat = self._chat(asked)
        post = chat.posts.get(asked.number("message_id") or 0)
        if post is None:
            raise refuse("message to edit not found")
        if post.author is not None:
            raise refuse("message can't be edited")
        return post

    def _change(self, post: Post, **what: Any) -> object:
        if all(getattr(post, name) == value for name, value in what.items()):
            raise refuse(NOT_MODIFIED)
        self.flood.check(post.chat.id)
        for name, value in what.items():
            setattr(post, name, value)
        post.edits += 1
        self.shown(post, True)
        return self.world.json(post)

    async def _edit_text(self, asked: Request) -> object:
        post = self._old(asked)
        if post.is_media:
            raise refuse("there is no text in the message to edit")
        html, mode = asked.values.get("text", ""), asked.values.get("parse_mode", "")
        text, entities = text_of(html, mode, LONGEST_TEXT)
        if not text:
            raise refuse("message text is empty")
        buttons = buttons_of(asked.values.get("reply_markup"))
        return self._change(post, text=text, entities=entities, buttons=buttons)

    async def _edit_caption(self, asked: Request) -> object:
        post = self._old(asked)
        if not post.is_media:
            raise refuse("there is no caption in the message to edit")
        text, entities = self._caption(asked)
        buttons = buttons_of(asked.values.get("reply_markup"))
        return self._change(post, text=text, entities=entities, buttons=buttons)

    async def _edit_media(self, asked: Request) -> object:
        post = self._old(asked)
        media = json.loads(asked.values["media"])
        name, content = Request({"media": media["media"]}, asked.files).upload("media")
        text, entities = text_of(
            media.get("caption", ""), media.get("parse_mode", ""), LONGEST_CAPTION
        )
        what: dict[str, Any] = {"photo": None, "document": None}
        if media["type"] == "photo":
            check_photo(content)
            what["photo"] = content
        else:
            what["document"] = (name, content)
        buttons = buttons_of(asked.values.get("reply_markup"))
        done = self._change(post, text=text, entities=entities, buttons=buttons, **what)
        post.file = self.world.keep(name, content)
        return done

    async def _edit_buttons(self, asked: Request) -> object:
        post = self._old(asked)
        buttons = buttons_of(asked.values.get("reply_markup"))
        if post.buttons == buttons:
            raise refuse(NOT_MODIFIED)
        post.buttons = buttons
        return self.world.json(post)

    async def _pin(self, asked: Request) -> object:
        chat = self._chat(asked)
        number = asked.number("message_id") or 0
        if number not in chat.posts:
            raise refuse("message to pin not found")
        if not chat.may_pin:
            raise refuse("not enough rights to manage pinned messages in the chat")
        chat.pinned.append(number)
        return True

    # -------------------------------------------------------------- the rest

    async def _answer(self, asked: Request) -> object:
        query, text = asked.values["callback_query_id"], asked.values.get("text", "")
        came = self.queries.pop(query, None)
        if came is None or came < self.flood.now - QUERY_LIVES:
            raise refuse("query is too old and response timeout expired or query ID is invalid")
        if units(text) > LONGEST_ANSWER:
            raise refuse("MESSAGE_TOO_LONG")
        self.answered.append((query, text))
        return True

    async def _file(self, asked: Request) -> object:
        ref = asked.values.get("file_id", "")
        if ref not in self.world.files:
            raise refuse("wrong file_id or the file is temporarily unavailable")
        content = self.world.files[ref][1]
        if len(content) > LARGEST_DOWNLOAD:
            raise refuse("file is too big")
        return {
            "file_id": ref, "file_unique_id": ref, "file_size": len(content),
            "file_path": f"documents/{ref}",
        }  # fmt: skip

    async def _member(self, asked: Request) -> object:
        chat = self._chat(asked)
        number = asked.number("user_id")
        if number == self.world.me["id"]:
            rights = dict.fromkeys(RIGHTS, True) if chat.bot_status == "administrator" else {}
            return {"status": chat.bot_status, "user": self.world.me, **rights}
        if number not in chat.members:
            raise refuse("user not found")
        return {"status": "member", "user": chat.members[number].json}


RIGHTS = (
    "can_be_edited", "is_anonymous", "can_manage_chat", "can_delete_messages",
    "can_manage_video_chats", "can_restrict_members", "can_promote_members", "can_change_info",
    "can_invite_users", "can_post_stories", "can_edit_stories", "can_delete_stories",
)  # fmt: skip

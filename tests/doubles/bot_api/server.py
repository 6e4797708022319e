"""The requests, the faults by script, and the port."""

from __future__ import annotations

import asyncio
import json
import socket
from collections import defaultdict, deque
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass
from enum import StrEnum
from urllib.parse import parse_qsl

import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request as Http
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route
from starlette.types import Receive, Scope, Send
from tornado.httputil import HTTPFile, parse_multipart_form_data

from bot.clock import SystemClock
from bot.ports import Clock
from tests.doubles.bot_api.limits import Flood
from tests.doubles.bot_api.methods import RIGHTS, Methods, Request
from tests.doubles.bot_api.phones import Phone
from tests.doubles.bot_api.text import RefusedError, refuse
from tests.doubles.bot_api.updates import Updates
from tests.doubles.bot_api.world import Chat, Json, Post, User, World

TOKEN = "123456789:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsawx"
ME = 123456789
SLOW_S = 0.05


class Fault(StrEnum):
    """What goes wrong with one request; 'after' means that it was carried out."""

    HANG_BEFORE = "hang before"
    HANG_AFTER = "hang after"
    CUT_BEFORE = "cut before"
    CUT_AFTER = "cut after"
    BROKEN = "500"
    PROXY = "502 and a page of HTML"
    FLOOD = "429"
    REFUSED = "400"
    SLOW = "slow"


BEFORE = frozenset(Fault) - {Fault.HANG_AFTER, Fault.CUT_AFTER, Fault.SLOW}
"""The faults of requests that are not carried out."""


@dataclass(frozen=True)
class Asked:
    """One request that was made."""

    method: str
    values: dict[str, str]


class Cut(Response):
    """An answer that stops in the middle: the connection is gone."""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        headers = [(b"content-length", b"1000")]
        await send({"type": "http.response.start", "status": 200, "headers": headers})
        await send({"type": "http.response.body", "body": b'{"ok":', "more_body": False})


class BotApi:
    """The double: its world, its clock, its faults."""

    def __init__(self, clock: Clock | None = None, *, hears_all: bool = False) -> None:
        self.clock = clock or SystemClock()
        me: Json = {
            "id": ME, "is_bot": True, "first_name": "Pit", "username": "pit_bot",
            "can_join_groups": True, "can_read_all_group_messages": hears_all,
            "supports_inline_queries": False,
        }  # fmt: skip
        self.world = World(me)
        self.updates = Updates(self.clock)
        self.flood = Flood(self.clock)
        self.methods = Methods(self.world, self.updates, self.flood, self._show)
        self.phones: list[Phone] = []
        self.asked: list[Asked] = []
        self.url = ""
        self.token = TOKEN
        self._faults: defaultdict[str, deque[Fault]] = defaultdict(deque)
        self._let_go = asyncio.Event()

    # -------------------------------------------------------------- the world

    def phone(self, number: int, name: str, lang: str = "en", *, started: bool = True) -> Phone:
        """Return the phone of a new user."""
        phone = Phone(self, self.world.user(number, name, lang, started=started))
        self.phones.append(phone)
        return phone

    def group(self, number: int, *phones: Phone, kind: str = "supergroup", **how: object) -> Chat:
        """Return a new group of these people and the bot."""
        chat = self.world.group(number, "Crew", *(p.user for p in phones), kind=kind)
        for name, value in how.items():
            setattr(chat, name, value)
        return chat

    def migrate(self, old: Chat, new: int) -> Chat:
        """Make a supergroup of a group: the old number is no longer good for anything."""
        chat = self.world.chats[new] = Chat(new, "supergroup", old.title, dict(old.members))
        post = self._service(old)
        self.updates.add("message", self.world.json(post) | {"migrate_to_chat_id": new})
        old.moved_to = new
        return chat

    def member(self, chat: Chat, user: User, *, comes: bool) -> None:
        """Let somebody come into a chat or leave it; only an administrator is told by update."""
        was = "member" if user.id in chat.members else "left"
        if comes:
            chat.members[user.id] = user
        else:
            chat.members.pop(user.id, None)
        now = "member" if comes else "left"
        if chat.bot_status == "administrator":
            self.updates.add("chat_member", self._changed(chat, user, user.json, was, now))
        key = "new_chat_members" if comes else "left_chat_member"
        post = self.world.json(self._service(chat, user))
        self.updates.add("message", post | {key: [user.json] if comes else user.json})

    def bot_is(self, chat: Chat, status: str, by: User) -> None:
        """Let the bot in, put it out, make it an administrator."""
        was, chat.bot_status = chat.bot_status, status
        changed = self._changed(chat, by, self.world.me, was, status)
        self.updates.add("my_chat_member", changed)

    def block(self, user: User, *, blocked: bool = True) -> None:
        """Let a user block the bot, or take it back."""
        user.blocked = blocked
        states = ("member", "kicked") if blocked else ("kicked", "member")
        changed = self._changed(self.world.chats[user.id], user, self.world.me, *states)
        self.updates.add("my_chat_member", changed)

    def _changed(self, chat: Chat, by: User, who: Json, was: str, now: str) -> Json:
        def member(status: str) -> Json:
            more: Json = {"until_date": 0} if status == "kicked" else {}
            if status == "administrator":
                more = dict.fromkeys(RIGHTS, True)
            return {"user": who, "status": status, **more}

        return {
            "chat": chat.json, "from": by.json, "date": int(self.clock.now().timestamp()),
            "old_chat_member": member(was), "new_chat_member": member(now),
        }  # fmt: skip

    def _service(self, chat: Chat, by: User | None = None) -> Post:
        user = by or next(iter(chat.members.values()))
        post = Post(chat.next_id(), chat, user, self.clock.now())
        chat.posts[post.id] = post
        return post

    def _show(self, post: Post, edited: bool) -> None:
        for phone in self.phones:
            if phone.user.id in post.chat.members:
                phone.shown(post, edited=edited)

    # -------------------------------------------------------------- the requests

    def fault(self, method: str, *faults: Fault) -> None:
        """Let the next requests of a method go wrong."""
        self._faults[method].extend(faults)

    def calls(self, method: str) -> list[dict[str, str]]:
        """Return the arguments a method was called with."""
        return [asked.values for asked in self.asked if asked.method == method]

    async def handle(self, http: Http) -> Response:
        """Answer one request."""
        method = http.path_params["method"]
        if http.path_params["token"] != self.token:
            return _refusal(RefusedError(401, "Unauthorized"))
        asked = await _read(http)
        self.asked.append(Asked(method, asked.values))
        waiting = self._faults[method]
        fault = waiting.popleft() if waiting else None
        if fault in BEFORE:
            return await self._before(fault)
        if fault is Fault.SLOW:
            await asyncio.sleep(SLOW_S)
        answer = await self._answer(method, asked)
        if fault is Fault.HANG_AFTER:
            await self._let_go.wait()
        return Cut() if fault is Fault.CUT_AFTER else answer

    async def _before(self, fault: Fault | None) -> Response:
        if fault is Fault.HANG_BEFORE:
            await self._let_go.wait()
        if fault is Fault.BROKEN:
            return _refusal(RefusedError(500, "Internal Server Error"))
        if fault is Fault.PROXY:
            return HTMLResponse("<html><h1>502 Bad Gateway</h1></html>", 502)
        if fault is Fault.REFUSED:
            return _refusal(refuse("wrong file identifier/HTTP URL specified"))
        if fault is Fault.FLOOD:
            words = "Too Many Requests: retry after 7"
            return _refusal(RefusedError(429, words, retry_after=7))
        return Cut()

    async def _answer(self, name: str, asked: Request) -> Response:
        method = self.methods.named(name)
        if method is None:
            return _refusal(RefusedError(404, "Not Found"))
        try:
            return JSONResponse({"ok": True, "result": await method(asked)})
        except RefusedError as refused:
            return _refusal(refused)

    async def file(self, http: Http) -> Response:
        """Give a file."""
        name = http.path_params["path"].removeprefix("documents/")
        if http.path_params["token"] != self.token or name not in self.world.files:
            return _refusal(RefusedError(404, "Not Found"))
        return Response(self.world.files[name][1])

    async def close(self) -> None:
        """Let everything that hangs end."""
        self._let_go.set()
        await self.updates.close()
        await asyncio.sleep(0)


def _refusal(refused: RefusedError) -> Response:
    told: Json = {"ok": False, "error_code": refused.code, "description": refused.words}
    if refused.parameters:
        told["parameters"] = refused.parameters
    return JSONResponse(told, refused.code)


async def _read(http: Http) -> Request:
    body, kind = await http.body(), http.headers.get("content-type", "")
    if kind.startswith("application/json"):
        known = json.loads(body or b"{}")
        return Request(
            {k: v if isinstance(v, str) else json.dumps(v) for k, v in known.items()}, {}
        )
    if not kind.startswith("multipart/form-data"):
        return Request(dict(parse_qsl(body.decode(), keep_blank_values=True)), {})
    values: dict[str, list[bytes]] = {}
    files: dict[str, list[HTTPFile]] = {}
    boundary = kind.split("boundary=")[1].encode()
    parse_multipart_form_data(boundary, body, values, files)
    return Request(
        {name: found[-1].decode() for name, found in values.items()},
        {name: (found[0]["filename"], found[0]["body"]) for name, found in files.items()},
    )


@asynccontextmanager
async def running(
    clock: Clock | None = None, *, hears_all: bool = False, port: int = 0
) -> AsyncIterator[BotApi]:
    """Serve a double on a free loopback port, in this loop."""
    api = BotApi(clock, hears_all=hears_all)
    app = Starlette(
        routes=[
            Route("/bot{token}/{method}", api.handle, methods=["GET", "POST"]),
            Route("/file/bot{token}/{path:path}", api.file),
        ]
    )
    # with the protocol named, the loop turns off Nagle on what it accepts
    door = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    door.bind(("127.0.0.1", port))
    config = uvicorn.Config(
        app,
        lifespan="off",
        log_level="critical",
        access_log=False,
        timeout_graceful_shutdown=0,
    )
    config.load()
    server = uvicorn.Server(config)
    server.lifespan = config.lifespan_class(config)
    await server.startup(sockets=[door])
    api.url = f"http://127.0.0.1:{door.getsockname()[1]}"
    try:
        yield api
    finally:
        await api.close()
        server.force_exit = True
        await server.shutdown(sockets=[door])

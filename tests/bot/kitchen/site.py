"""A house with one open cook, its test kitchen, and whoever types; on a store without a disk."""

from __future__ import annotations

from collections.abc import AsyncIterator, Mapping
from datetime import timedelta

from bot.accounts import HOUSE, Accounts
from bot.cards import read_event, read_texts
from bot.dispatch import Dispatcher
from bot.door import Door
from bot.examples import GOLDEN_WEDDING
from bot.kitchen import Kitchen
from bot.ports import (
    Attached,
    Batch,
    Chat,
    FetchError,
    Incoming,
    Outgoing,
    Pace,
    Receipt,
    Seat,
    Sent,
)
from core.facts import CardKind
from core.model import Dish, Moment
from core.trial.book import KitchenBook
from tests.fakes import FakeClock, MemoryStore

COOK = "golden-wedding-1"
CHEF, OTHER, OWNER = "77", "78", "5"


class FilesChat:
    """Implements Remote as far as a kitchen needs it: it has files to fetch."""

    network = "fake"
    repeats_harmless = True
    pace = Pace()

    def __init__(self) -> None:
        self.files: dict[str, bytes] = {}
        self.fetched: list[str] = []

    async def fetch(self, ref: str) -> bytes:
        self.fetched.append(ref)
        if ref not in self.files:
            raise FetchError("gone")
        return self.files[ref]

    def incoming(self) -> AsyncIterator[Incoming]:
        raise NotImplementedError("nobody listens here")

    def batches(self) -> AsyncIterator[Batch]:
        raise NotImplementedError("nobody listens here")

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        return Sent(key)

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        return receipt

    async def stop(self) -> None:
        return None


class House:
    """Ana and Bo, chef and pit lead of an open cook, and the owner of the house."""

    def __init__(self, store: MemoryStore | None = None) -> None:
        self.event = read_event(GOLDEN_WEDDING)
        self.clock = FakeClock(self.event.event.instant(Moment(-30, 9, 0)))
        self.store = store or MemoryStore(self.clock)
        self.chat = FilesChat()
        self.messages: list[Outgoing] = []
        self._n = 0
        self.restart()

    def restart(self) -> None:
        """Forget everything that is not in the store."""
        self.accounts = Accounts(self.store.people)
        self.dispatcher = Dispatcher(self.store, self.clock, self.accounts)
        self.dispatcher.door = Door(self.store, self.accounts, {})
        chats: Mapping[str, Chat] = {"fake": self.chat}
        self.kitchen = Kitchen(self.store, self.clock, self.accounts, self.dispatcher, chats.get)
        self.dispatcher.kitchen = self.kitchen

    async def open(self) -> None:
        texts = dict(read_texts(GOLDEN_WEDDING))
        await self.dispatcher.start(COOK, self.event, texts, "ana")
        for cook, person, who in (
            (COOK, "ana", CHEF),
            (COOK, "bo", OTHER),
            (HOUSE, "owner", OWNER),
        ):
            await self.store.people.seat(Seat(cook, person, "fake", who, f"dm-{who}"))
        await self.accounts.refresh([COOK])

    async def say(
        self, who: str, *texts: str, room: str | None = None, tap: int | None = None
    ) -> list[str]:
        """Say lines one after the other; return what is answered to the last."""
        said: list[str] = []
        for text in texts:
            said = await self._tell(who, text, room=room, tap=tap)
        return said

    async def _tell(
        self,
        who: str,
        text: str,
        *,
        room: str | None = None,
        tap: int | None = None,
        attached: tuple[Attached, ...] = (),
    ) -> list[str]:
        self._n += 1
        under = self._under(who) if tap is not None else None
        message = Incoming(
            "fake",
            f"m{self._n}",
            room or f"dm-{who}",
            who,
            text,
            self.clock.now(),
            reply_to=under,
            choice=str(tap) if tap is not None else None,
            private=room is None,
            attached=attached,
        )
        await self.dispatcher.hear((message,))
        return await self.heard(message.room)

    async def send(self, who: str, name: str, content: bytes, size: int | None = None) -> list[str]:
        """Send a file; return what is answered."""
        ref = f"ref{self._n}"
        self.chat.files[ref] = content
        file = Attached(name, "application/octet-stream", size or len(content), ref)
        return await self._tell(who, "", attached=(file,))

    def _under(self, who: str) -> str:
        return next(k for r, k in reversed(self.shown) if r == f"dm-{who}")

    shown: list[tuple[str, str]]

    async def heard(self, room: str) -> list[str]:
        """Return what the bot has said in a room since last asked."""
        said: list[str] = []
        self.shown = getattr(self, "shown", [])
        while owed := await self.store.claim("fake", self.clock.now()):
            for row in owed:
                await self.store.settle(row.key, Sent(f"id:{row.key}"), self.clock.now())
                if row.room == room:
                    said += row.message.lines
                    self.messages.append(row.message)
                    self.shown.append((row.room, f"id:{row.key}"))
        return said

    async def book(self) -> KitchenBook:
        return await self.kitchen.book()

    async def dish(self, card: str) -> Dish:
        from bot.cards import dish_in

        saved = (await self.book()).card(CardKind.DISH, card)
        assert saved is not None
        return dish_in(f"{card}.toml", saved.texts[f"{card}.toml"])

    def later(self, **span: float) -> None:
        self.clock.set(self.clock.now() + timedelta(**span))


LAMB = (
    "new dish lamb neck",
    "4",
    "978 g",
    "880g",
    "lamb",
    "5.5cm",
    "no brine",
    "smoker",
    "110",
    "5",
    "5 12, 10 19, 20 30, 31 47",
    "790 g",
    "4 min 300",
    "54 at 6 min",
    "740 g",
    "722g",
    "60 min",
    "1 piece",
    "16.90",
    "rub 8.8 g",
    "none",
)
"""A whole dish, answered one question at a time."""

"""Photos and files that come with messages: kept and booked, or refused in words."""

from __future__ import annotations

import asyncio
import hashlib
from collections.abc import AsyncIterator
from datetime import timedelta
from pathlib import Path

import pytest

from bot.accounts import Accounts
from bot.cards import read_event, read_texts
from bot.dispatch import Dispatcher
from bot.enclosures import Enclosures
from bot.examples import GOLDEN_WEDDING
from bot.ports import Attached, Batch, CrewRoom, FetchError, Incoming, Seat, Sent
from bot.store import SqlStore, open_store
from core.facts import LabelShown
from core.model import Moment
from tests.fakes import FakeChat, FakeClock

COOK = "golden-wedding-1"
ROOM = "room"
JPEG = b"\xff\xd8\xff" + b"label" * 10
PHOTO = Attached("photo.jpg", "image/jpeg", len(JPEG), "f1")


class Shop(FakeChat):
    """Implements Remote: a chat with files to fetch, some of them slowly or not at all."""

    def __init__(self) -> None:
        super().__init__()
        self.files: dict[str, bytes] = {"f1": JPEG}
        self.fetched: list[str] = []
        self.let_go = asyncio.Event()
        self.let_go.set()

    async def batches(self) -> AsyncIterator[Batch]:
        for _ in ():
            yield Batch(())

    async def fetch(self, ref: str) -> bytes:
        self.fetched.append(ref)
        await self.let_go.wait()
        if ref not in self.files:
            raise FetchError("Telegram no longer has the file")
        return self.files[ref]

    async def stop(self) -> None:
        self.let_go.set()


class Table:
    """One cook, a store on the disk, and phones that can send photos."""

    def __init__(self, store: SqlStore, clock: FakeClock) -> None:
        self.store, self.clock, self.chat = store, clock, Shop()
        self.accounts = Accounts(store.people)
        self.dispatcher = Dispatcher(store, clock, self.accounts)
        self.came = asyncio.Event()
        self.enclosures = Enclosures({"fake": self.chat}, store.files, self.came.set)
        self.dispatcher.enclosures = self.enclosures
        self._n = 0

    async def open(self) -> None:
        cards, texts = read_event(GOLDEN_WEDDING), dict(read_texts(GOLDEN_WEDDING))
        await self.dispatcher.start(COOK, cards, texts, "ana")
        await self.store.people.seat(Seat(COOK, "ana", "fake", "77", "dm-77"))
        await self.store.people.seat(Seat(COOK, "eli", "fake", "88", "dm-88"))
        await self.store.people.open_room(CrewRoom("fake", ROOM, COOK))
        await self.accounts.refresh([COOK])

    async def send(
        self, text: str = "", *files: Attached, who: str = "77", room: str = "", reply_to: str = ""
    ) -> list[str]:
        """Send something and return what is answered, once its file is here."""
        await self.drop(text, *files, who=who, room=room, reply_to=reply_to)
        if files and await self.store.unhandled():
            async with asyncio.timeout(20):
                await self.came.wait()
            await self.dispatcher.work()
        return await self.answers(room or f"dm-{who}")

    async def drop(
        self, text: str = "", *files: Attached, who: str = "77", room: str = "", reply_to: str = ""
    ) -> None:
        """Send something and do not wait for its file."""
        self._n += 1
        self.came.clear()
        message = Incoming(
            "fake", f"m{self._n}", room or f"dm-{who}", who, text, self.clock.now(),
            reply_to=reply_to or None, private=not room, attached=files,
        )  # fmt: skip
        await self.dispatcher.hear((message,))

    async def answers(self, room: str) -> list[str]:
        """Return what the bot has said in a room since last asked."""
        said: list[str] = []
        while owed := await self.store.claim("fake", self.clock.now()):
            for row in owed:
                said += row.message.lines if row.room == room else ()
                await self.store.settle(row.key, Sent(f"id:{row.key}"), self.clock.now())
        return said

    async def labels(self) -> list[LabelShown]:
        entries = (await self.dispatcher.cook(COOK)).entries
        return [e.fact for e in entries if isinstance(e.fact, LabelShown)]


@pytest.fixture
async def table(tmp_path: Path) -> AsyncIterator[Table]:
    clock = FakeClock(read_event(GOLDEN_WEDDING).event.instant(Moment(0, 9, 0)))
    store = await open_store(f"sqlite:///{tmp_path}/log.db", clock)
    made = Table(store, clock)
    await made.open()
    yield made
    await made.enclosures.close()
    await store.close()


SHA = hashlib.sha256(JPEG).hexdigest()


async def test_a_photo_with_its_label_named_is_kept_and_booked(table: Table) -> None:
    said = await table.send("label yogurt", PHOTO)
    assert "Photo kept with yogurt." in said[0]
    assert await table.labels() == [LabelShown("yogurt", SHA)]
    assert await table.store.files.content(SHA) == JPEG


async def test_a_photo_sent_when_its_label_was_asked_for_needs_no_words(table: Table) -> None:
    asked = await table.send("label yogurt")
    assert "Or a photo." in asked[0]
    await table.send("", PHOTO)
    assert await table.labels() == [LabelShown("yogurt", SHA)]


async def test_a_photo_under_the_call_to_read_a_label_is_of_that_label(table: Table) -> None:
    await table.send("new yogurt tub diff brand")
    await table.dispatcher.ring(table.clock.now())
    calls = (await table.dispatcher.cook(COOK)).calls.values()
    (call,) = [made.call for made in calls if made.call.kind == "label"]
    (who,) = call.to
    await table.store.people.seat(Seat(COOK, who, "fake", "99", "dm-99"))
    await table.accounts.refresh()
    await table.send("", PHOTO, who="99", reply_to=f"id:c:{COOK}:{call.key}:{who}")
    assert await table.labels() == [LabelShown("yogurt", SHA)]


async def test_a_photo_without_words_waits_for_them(table: Table) -> None:
    assert await table.send("", PHOTO) == ["Photo kept. Of what? Say: label mayo"]
    await table.send("label cumin")
    assert await table.labels() == [LabelShown("cumin", SHA)]


async def test_words_that_come_a_quarter_of_an_hour_later_are_of_something_else(
    table: Table,
) -> None:
    await table.send("", PHOTO)
    table.clock.set(table.clock.now() + timedelta(minutes=15))
    await table.send("label cumin")
    assert await table.labels() == []


async def test_a_photo_of_something_else_is_kept_under_its_name(table: Table) -> None:
    await table.send("whiteboard", PHOTO)
    assert await table.labels() == [LabelShown("whiteboard", SHA)]


async def test_a_picture_among_the_crew_is_nobodys_business(table: Table) -> None:
    assert await table.send("", PHOTO, room=ROOM) == []
    assert table.chat.fetched == []


async def test_nothing_is_fetched_for_a_stranger(table: Table) -> None:
    said = await table.send("", PHOTO, who="5")
    assert said == ["5 is not on this crew. Ask the lead to add you."]
    assert table.chat.fetched == []


async def test_while_a_file_is_on_its_way_nobody_waits_for_it(table: Table) -> None:
    table.chat.let_go.clear()
    await table.drop("label yogurt", PHOTO)
    assert (await table.send("status"))[0].startswith("Plates 14:00, 60 heads.")
    assert (await table.send("status", who="88"))[0].startswith("Plates 14:00, 60 heads.")
    table.chat.let_go.set()
    async with asyncio.timeout(20):
        await table.came.wait()
    await table.dispatcher.work()
    assert await table.labels() == [LabelShown("yogurt", SHA)]
    assert table.chat.fetched == ["f1"]


async def test_after_a_restart_a_file_is_fetched_again(table: Table) -> None:
    table.chat.let_go.clear()
    await table.drop("label yogurt", PHOTO)
    await table.enclosures.close()
    table.chat.let_go.set()
    table.dispatcher.enclosures = Enclosures(
        {"fake": table.chat}, table.store.files, table.came.set
    )
    await table.dispatcher.work()
    async with asyncio.timeout(20):
        await table.came.wait()
    await table.dispatcher.work()
    assert await table.labels() == [LabelShown("yogurt", SHA)]


@pytest.mark.parametrize(
    ("file", "words"),
    [
        (Attached("a.exe", "application/octet-stream", 2, "f1"), "not a.exe."),
        (Attached("b.pdf", "application/pdf", 20_000_001, "f"), "b.pdf is too large"),
        (Attached("c.jpg", "image/jpeg", 9, "gone"), "Telegram no longer has the file."),
        (Attached("d.png", "image/png", 9, "f1"), "d.png is not kept"),
        (Attached("kit.toml", "text/plain", 9, "f1"), "chef and leads send them to me alone."),
        (Attached("v.ogg", "audio/ogg", 9, "f1"), "I hear no voice messages."),
    ],
)  # fmt: skip
async def test_what_cannot_be_taken_is_refused_in_words(
    table: Table, file: Attached, words: str
) -> None:
    said = await table.send("label yogurt", file)
    assert words in said[0]
    assert await table.labels() == []


async def test_ten_megabytes_of_a_data_sheet_are_kept(table: Table) -> None:
    table.chat.files["f1"] = b"%PDF-" + b"0" * 10_000_000
    sheet = Attached("spec.pdf", "application/octet-stream", 10_000_005, "f1")
    await table.send("label yogurt", sheet)
    (shown,) = await table.labels()
    assert len(await table.store.files.content(shown.photo)) == 10_000_005

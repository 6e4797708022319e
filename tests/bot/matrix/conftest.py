from __future__ import annotations

from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from tests.bot.matrix.crew import Bot, Phone, account_of, bot_of, phone, room_of, started
from tests.synapse import Synapse, shared


@pytest.fixture(scope="session")
def synapse() -> Synapse:
    return shared()


@pytest.fixture(autouse=True)
def _up(synapse: Synapse) -> None:
    synapse.ensure()


@pytest.fixture
async def lucia(synapse: Synapse) -> AsyncIterator[Phone]:
    async with phone(synapse, synapse.person("lucia")) as her:
        yield her


@pytest.fixture
async def ben(synapse: Synapse) -> AsyncIterator[Phone]:
    async with phone(synapse, synapse.person("ben")) as him:
        yield him


@pytest.fixture
async def bot(synapse: Synapse, tmp_path: Path) -> AsyncIterator[Bot]:
    account = account_of(synapse, synapse.person("pitcrier"), tmp_path / "matrix")
    async with started(bot_of(account)) as made:
        yield made


@pytest.fixture
async def room(lucia: Phone, ben: Phone, bot: Bot) -> str:
    """An encrypted room with Lucía, Ben and the bot."""
    return await room_of(bot, lucia, ben)

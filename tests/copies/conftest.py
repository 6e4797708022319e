from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.postgres import Postgres, running


@pytest.fixture(scope="session")
def postgres() -> Iterator[Postgres]:
    with running() as server:
        yield server

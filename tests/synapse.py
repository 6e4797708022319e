"""A homeserver of our own for tests: from a wheel, on loopback, gone when we are.

It needs no root and no system package; `make synapse` sets its environment up beside ours.
"""

from __future__ import annotations

import asyncio
import atexit
import base64
import hmac
import json
import secrets
import socket
import subprocess
import tempfile
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from functools import cache
from itertools import count
from pathlib import Path
from time import sleep
from typing import Any

PYTHON = Path(__file__).parents[1] / ".venv-synapse" / "bin" / "python"
SERVER_NAME = "pit.test"
PASSWORD = "charcoal and patience"
SHARED_SECRET = "only on loopback"
FAST = {"per_second": 10_000, "burst_count": 10_000}

SERVE = """
import os, sys, threading
threading.Thread(target=lambda: (sys.stdin.read(), os._exit(1)), daemon=True).start()
from synapse.app.homeserver import main
main()
"""
"""It ends when the pipe to us does: also when we were killed and could not stop it."""

CONFIG: Mapping[str, Any] = {
    "server_name": SERVER_NAME,
    "report_stats": False,
    "trusted_key_servers": [],
    "registration_shared_secret": SHARED_SECRET,
    "macaroon_secret_key": "m",
    "form_secret": "f",
    "bcrypt_rounds": 4,
    "presence": {"enabled": False},
    "enable_room_list_search": False,
    # the same answer for two minutes after a restart would hide what the restart did
    "caches": {"sync_response_cache_duration": "0s"},
    # messages keep the default of ten at once and one every five seconds: see `person`
    "rc_registration": FAST,
    "rc_login": {"address": FAST, "account": FAST, "failed_attempts": FAST},
    "rc_joins": {"local": FAST, "remote": FAST},
    "rc_invites": {"per_room": FAST, "per_user": FAST, "per_issuer": FAST},
    "rc_room_creation": FAST,
    "rc_media_create": FAST,
    "listeners": [],
}

LOGGING = {
    "version": 1,
    "handlers": {"file": {"class": "logging.FileHandler", "filename": "synapse.log"}},
    "root": {"level": "WARNING", "handlers": ["file"]},
}


@dataclass
class Synapse:
    """A running server; `person` makes one account after the other."""

    folder: Path
    port: int
    _process: subprocess.Popen[bytes] | None = None
    _numbers: Iterator[int] = field(default_factory=count)
    _admin: str = ""

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        """Start, and wait until it answers."""
        with (self.folder / "stderr.log").open("wb") as log:
            self._process = subprocess.Popen(
                [PYTHON, "-c", SERVE, "-c", "homeserver.yaml"],
                cwd=self.folder,
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=log,
            )
        for _ in range(600):
            try:
                self.ask("GET", "/_matrix/client/versions")
            except OSError:
                if self._process.poll() is not None:
                    break
                sleep(0.05)
            else:
                return
        raise AssertionError((self.folder / "stderr.log").read_text()[-2000:])

    def ensure(self) -> None:
        """Start it again if a test that failed left it stopped."""
        if self._process is None:
            self.start()

    def stop(self) -> None:
        """Stop it as a power cut would."""
        if self._process is not None:
            self._process.kill()
            self._process.wait()
            if self._process.stdin is not None:
                self._process.stdin.close()
            self._process = None

    def ask(self, method: str, path: str, body: object = None, token: str = "") -> Any:
        """Ask the server something and return its JSON; raises on a refusal."""
        request = urllib.request.Request(
            self.url + path,
            data=None if body is None else json.dumps(body).encode(),
            headers={"Authorization": f"Bearer {token}"} if token else {},
            method=method,
        )
        with urllib.request.urlopen(request, timeout=20) as answer:
            return json.loads(answer.read())

    def person(self, name: str, *, limited: bool = False) -> str:
        """Make an account and return its user id; only a limited one is held to ten messages."""
        user = self._account(f"{name}{next(self._numbers)}", admin=False)["user_id"]
        if not limited:
            path = f"/_synapse/admin/v1/users/{user}/override_ratelimit"
            self.ask("POST", path, {"messages_per_second": 0, "burst_count": 0}, self.admin())
        return str(user)

    def admin(self) -> str:
        """Return the token of an account that may do everything."""
        if not self._admin:
            self._admin = self._account("admin", admin=True)["access_token"]
        return self._admin

    def _account(self, name: str, *, admin: bool) -> Any:
        path = "/_synapse/admin/v1/register"
        nonce = self.ask("GET", path)["nonce"]
        what = [nonce, name, PASSWORD, "admin" if admin else "notadmin"]
        mac = hmac.new(SHARED_SECRET.encode(), "\0".join(what).encode(), "sha1").hexdigest()
        body = {"nonce": nonce, "username": name, "password": PASSWORD, "admin": admin, "mac": mac}
        return self.ask("POST", path, body)

    async def restarted(self) -> None:
        """Stop and start again, without holding up the loop."""
        await asyncio.to_thread(self.stop)
        await asyncio.to_thread(self.start)


@contextmanager
def running() -> Iterator[Synapse]:
    """Run a server in a folder that is removed with it."""
    if not PYTHON.exists():
        raise AssertionError("no homeserver to test against: run 'make synapse' first")
    with tempfile.TemporaryDirectory(prefix="pit") as folder:
        server = Synapse(Path(folder), _free_port())
        _write_config(server)
        server.start()
        try:
            yield server
        finally:
            server.stop()


@cache
def shared() -> Synapse:
    """Return this process's one server, started at first use and stopped with the process."""
    stack = ExitStack()
    atexit.register(stack.close)
    return stack.enter_context(running())


def _write_config(server: Synapse) -> None:
    folder = server.folder
    config = {
        **CONFIG,
        "signing_key_path": str(folder / "signing.key"),
        "media_store_path": str(folder / "media"),
        "pid_file": str(folder / "pid"),
        "log_config": str(folder / "log.yaml"),
        "database": {"name": "sqlite3", "args": {"database": str(folder / "homeserver.db")}},
        "listeners": [
            {
                "port": server.port,
                "type": "http",
                "bind_addresses": ["127.0.0.1"],
                "resources": [{"names": ["client"]}],
            }
        ],
    }
    seed = base64.b64encode(secrets.token_bytes(32)).decode().rstrip("=")
    (folder / "signing.key").write_text(f"ed25519 a_test {seed}\n")
    (folder / "homeserver.yaml").write_text(json.dumps(config))  # JSON is YAML
    (folder / "log.yaml").write_text(json.dumps(LOGGING))


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])

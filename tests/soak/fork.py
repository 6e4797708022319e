"""A process made by fork: it starts in milliseconds and can be killed for good."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import traceback
from collections.abc import Callable, Coroutine
from typing import Any

from tests.soak.kitchen import Pipe
from tests.soak.reaper import Reaper

Life = Callable[[Pipe, Reaper], Coroutine[Any, Any, None]]


def forked(life: Life, kill_at: int | None) -> tuple[bool, list[dict[str, Any]]]:
    """Live in a process of its own; return whether it was killed and what it told before."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _live(life, kill_at, writing)
    os.close(writing)
    with os.fdopen(reading) as pipe:
        lines = [json.loads(line) for line in pipe]
    _, ended = os.waitpid(child, 0)
    killed = os.WIFSIGNALED(ended) and os.WTERMSIG(ended) == signal.SIGKILL
    if not killed and ended != 0:
        raise AssertionError(f"a process broke by itself: {ended}, {lines[-3:]}")
    return killed, lines


def _live(life: Life, kill_at: int | None, writing: int) -> None:
    status = 1
    try:
        reaper = Reaper(kill_at)
        reaper.watch_database()
        asyncio.run(life(Pipe(writing), reaper))
        status = 0
    except BaseException:
        traceback.print_exc()
        raise
    finally:
        os._exit(status)  # a fork must not run its parent's end

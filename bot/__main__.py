"""The command line. Exit status 0, or 2 with one clear line; 'I don't know' is an answer, 0."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

from core.errors import KitchenError


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return the exit status."""
    _utf8()
    chosen = _parser().parse_args(arguments)
    try:
        return _run(chosen)
    except KitchenError as error:
        hint = f" {error.hint}" if error.hint else ""
        print(f"pitcrier: {error}{hint}", file=sys.stderr)
        return 2
    except BrokenPipeError:  # the reader has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except KeyboardInterrupt:
        return 0


def _utf8() -> None:
    """Speak UTF-8 whatever the locale says; a byte that is none becomes a mark, not a crash."""
    for stream in (sys.stdin, sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(encoding="utf-8", errors="replace")


def _run(chosen: argparse.Namespace) -> int:
    """Import what the command needs and nothing else: a question is answered in a second."""
    from bot import commands

    match chosen.command:
        case "ask":
            return commands.ask(chosen)
        case "plan":
            return commands.plan(chosen)
        case "check":
            return commands.check(chosen)
        case "log":
            return commands.log(chosen)
        case "rehearse":
            return commands.rehearse(chosen)
        case "demo":
            return commands.demo(chosen)
        case "chat":
            return commands.chat(chosen)
        case "backup" | "restore":
            return commands.copies(chosen)
        case "verify":
            return commands.verify(chosen)
        case _:
            return commands.serve(chosen)


class _Parser(argparse.ArgumentParser):
    """One clear line on bad input, exit status 2."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong in one line."""
        print(f"{self.prog}: {message}. Try '{self.prog} --help'.", file=sys.stderr)
        raise SystemExit(2)


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="pitcrier", description="Helps a crew cook over live fire for a crowd.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND")

    demo = commands.add_parser("demo", help="a whole day on a virtual clock; no token, no network")
    demo.add_argument("--speed", type=float, default=0.0, help="minutes of the day per second")

    chat = commands.add_parser("chat", help="the bot in the terminal")
    chat.add_argument("event", type=Path, metavar="EVENT")
    chat.add_argument("--as", dest="who", metavar="NAME")
    chat.add_argument("--db", metavar="URL")

    rehearse = commands.add_parser("rehearse", help="an event against a script, virtual clock")
    rehearse.add_argument("event", type=Path, metavar="EVENT")
    rehearse.add_argument("--script", type=Path, required=True, metavar="FILE")
    rehearse.add_argument("--json", action="store_true")

    ask = commands.add_parser("ask", help="one quick question")
    ask.add_argument("text", metavar="TEXT")
    ask.add_argument("--event", type=Path, metavar="EVENT")
    ask.add_argument("--profile", metavar="P")
    ask.add_argument("--lang", metavar="L")
    ask.add_argument("--at", metavar="TIME")
    ask.add_argument("--json", action="store_true")

    plan = commands.add_parser("plan", help="the plan, counted back from plates")
    plan.add_argument("event", type=Path, metavar="EVENT")
    plan.add_argument("--heads", type=int, metavar="N")
    plan.add_argument("--json", action="store_true")
    for kind in ("png", "ics", "pdf"):
        plan.add_argument(f"--{kind}", type=Path, metavar="FILE")

    plan.add_argument("--sheets", type=Path, metavar="DIR", help="what to buy, prepare and label")

    check = commands.add_parser("check", help="validate cards")
    check.add_argument("paths", type=Path, nargs="*", metavar="PATH")
    check.add_argument("--defaults", action="store_true", help="print what a silent card means")

    log = commands.add_parser("log", help="the inspector's sheet of a cook")
    log.add_argument("cook", metavar="COOK")
    log.add_argument("--db", metavar="URL")
    log.add_argument("--json", action="store_true")
    log.add_argument("--pdf", type=Path, metavar="FILE")

    backup = commands.add_parser("backup", help="copy the log while the bot runs")
    backup.add_argument("file", type=Path, metavar="FILE")
    backup.add_argument("--db", metavar="URL")

    restore = commands.add_parser("restore", help="put a backup into a new, empty database")
    restore.add_argument("file", type=Path, metavar="FILE")
    restore.add_argument("--db", metavar="URL")

    verify = commands.add_parser("verify", help="whether anything in the log was edited")
    verify.add_argument("--db", metavar="URL")

    serve = commands.add_parser("serve", help="run the configured front-ends")
    serve.add_argument("--check", action="store_true", help="say what is missing, then end")
    serve.add_argument("--event", type=Path, metavar="EVENT", help="start this event's cook first")
    serve.add_argument("--db", metavar="URL")
    return parser


if __name__ == "__main__":
    sys.exit(main())

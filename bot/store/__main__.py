"""`python -m bot.store backup DB FILE` and `python -m bot.store restore FILE DB`.

A backup is taken while the bot runs. It is put back into a database that is empty, on either kind
of database; never over something newer.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from bot.ports import StoreError
from bot.store.backup import backed_up, restored
from bot.store.engine import place


def main(arguments: list[str] | None = None) -> int:
    """Run one command; return 0, or 2 after one clear line."""
    wanted = argparse.ArgumentParser(prog="python -m bot.store", description=__doc__)
    commands = wanted.add_subparsers(dest="command", required=True)
    backup = commands.add_parser("backup", help="copy a database while the bot runs")
    backup.add_argument("db", help="file or postgresql:// address")
    backup.add_argument("file", type=Path, help="the copy")
    restore = commands.add_parser("restore", help="put a copy into an empty database")
    restore.add_argument("file", type=Path, help="the copy")
    restore.add_argument("db", help="file or postgresql:// address")
    asked = wanted.parse_args(arguments)
    try:
        if asked.command == "backup":
            backed_up(place(asked.db), asked.file)
        else:
            restored(asked.file, asked.db)
    except StoreError as wrong:
        print(wrong, file=sys.stderr)
        return 2
    print(f"{asked.command}: done, {asked.file}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Card files from a folder: small, UTF-8, plain files within it, and nothing else."""

from __future__ import annotations

import stat
from pathlib import Path

from bot.cards.errors import CardError

EVENT_FILES = ("event.toml", "kit.toml", "crew.toml")
LARGEST_BYTES = 1024 * 1024
_MOST_DISHES = 200


def card_paths(folder: Path) -> tuple[tuple[Path, ...], tuple[CardError, ...]]:
    """Return the card files an event folder has, and what is wrong with the folder itself."""
    errors: list[CardError] = []
    found = [folder / name for name in EVENT_FILES]
    dishes = folder / "dishes"
    if not _is_folder(dishes):
        errors.append(CardError(str(dishes), 1, "", "there is no such folder", "dishes go in it"))
        return tuple(found), tuple(errors)
    cards = sorted(path for path in dishes.iterdir() if path.suffix == ".toml")
    if not cards:
        errors.append(CardError(str(dishes), 1, "", "there is no dish", "one file for each dish"))
    if len(cards) > _MOST_DISHES:
        what = f"there are {len(cards)} dishes"
        errors.append(CardError(str(dishes), 1, "", what, f"at most {_MOST_DISHES}"))
    return (*found, *cards[:_MOST_DISHES]), tuple(errors)


def file_text(path: Path) -> str | CardError:
    """Return a card's text, or why it cannot be taken."""
    try:
        status = path.lstat()
        if stat.S_ISLNK(status.st_mode):
            right = "cards are files of their own, inside the event's folder"
            return CardError(str(path), 1, "", "is a link to elsewhere", right)
        if not stat.S_ISREG(status.st_mode):
            return CardError(str(path), 1, "", "is not a file", "a card is a TOML file")
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as bad:
        missing = isinstance(bad, FileNotFoundError)
        what = "there is no such file" if missing else "cannot be read"
        return CardError(str(path), 1, "", what, "every event has one" if missing else "")
    if len(data) > LARGEST_BYTES:
        return CardError(str(path), 1, "", "is larger than 1 MiB", "a card is a page of text")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as bad:
        line = data.count(b"\n", 0, bad.start) + 1
        return CardError(str(path), line, "", "is not UTF-8 text", "save it as UTF-8")


def _is_folder(path: Path) -> bool:
    return path.is_dir() and not path.is_symlink()

"""Environment to a frozen Settings; nothing else reads the environment.

A secret may stand in a file instead: `NAME_FILE` names it, as service managers and containers
hand secrets over.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path
from urllib.parse import urlsplit

from core.errors import KitchenError

DEFAULT_DB = "sqlite:///pitcrier.db"
PREFIX = "PITCRIER_"
READ_BY_ALL = 0o004
LARGEST_SECRET = 4096


class SettingError(KitchenError):
    """A setting that cannot be used."""

    template = "{name}: {why}."

    def __init__(self, name: str, why: str) -> None:
        super().__init__(name=name, why=why)


@dataclass(frozen=True, slots=True)
class TelegramSettings:
    """The bot's token, and the webhook's address and secret where one is used."""

    token: str = field(repr=False)
    webhook_url: str | None = None
    webhook_secret: str = field(default="", repr=False)
    listen: str = "127.0.0.1"
    port: int = 8443
    server: str | None = None


@dataclass(frozen=True, slots=True)
class MatrixSettings:
    """The bot's account on a homeserver, and the folder its device lives in."""

    server: str
    user: str
    folder: Path
    password: str = field(default="", repr=False)
    secret: str = field(default="", repr=False)
    unlimited: bool = False


@dataclass(frozen=True, slots=True)
class Settings:
    """What an installation chooses."""

    db_url: str = DEFAULT_DB
    telegram: TelegramSettings | None = None
    matrix: MatrixSettings | None = None
    health_port: int | None = None

    @property
    def secrets(self) -> tuple[str, ...]:
        """Return what no log may show."""
        telegram, matrix = self.telegram, self.matrix
        found = [urlsplit(self.db_url).password]
        found += [telegram.token, telegram.webhook_secret] if telegram else []
        found += [matrix.password, matrix.secret] if matrix else []
        return tuple(filter(None, found))


def read_settings(environment: Mapping[str, str], db: str | None = None) -> Settings:
    """Return the settings; a flag outranks the environment, a bare path means SQLite.

    Raises
    ------
    SettingError
        If one of them cannot be used, with what would be right.

    Examples
    --------
    >>> read_settings({}, "day.db").db_url
    'sqlite:///day.db'
    """
    named = db or _secret(environment, "PITCRIER_DB") or DEFAULT_DB
    url = named if "://" in named else f"sqlite:///{named}"
    health = _number(environment, "PITCRIER_HEALTH_PORT", 0, 65535) or None
    return Settings(url, _telegram(environment), _matrix(environment), health)


def _telegram(environment: Mapping[str, str]) -> TelegramSettings | None:
    token = _secret(environment, "PITCRIER_TELEGRAM_TOKEN")
    if not token:
        return None
    url = environment.get("PITCRIER_TELEGRAM_WEBHOOK_URL") or None
    secret = _secret(environment, "PITCRIER_TELEGRAM_WEBHOOK_SECRET")
    if url is not None and urlsplit(url).scheme != "https":
        raise SettingError("PITCRIER_TELEGRAM_WEBHOOK_URL", "Telegram only calls https addresses")
    if url is not None and not secret:
        raise SettingError("PITCRIER_TELEGRAM_WEBHOOK_SECRET", "a webhook needs a secret")
    port = _number(environment, "PITCRIER_TELEGRAM_WEBHOOK_PORT", 8443, 65535)
    listen = environment.get("PITCRIER_TELEGRAM_WEBHOOK_LISTEN") or "127.0.0.1"
    server = environment.get("PITCRIER_TELEGRAM_SERVER") or None
    return TelegramSettings(token, url, secret, listen, port, server)


def _matrix(environment: Mapping[str, str]) -> MatrixSettings | None:
    server = environment.get("PITCRIER_MATRIX_SERVER") or ""
    user = environment.get("PITCRIER_MATRIX_USER") or ""
    if not server and not user:
        return None
    if urlsplit(server).scheme not in {"http", "https"}:
        raise SettingError("PITCRIER_MATRIX_SERVER", "give the server's address with https://")
    if not user:
        raise SettingError("PITCRIER_MATRIX_USER", "give the bot's account, like @pit:example.org")
    return MatrixSettings(
        server.rstrip("/"),
        user,
        Path(environment.get("PITCRIER_MATRIX_FOLDER") or "pitcrier-matrix"),
        _secret(environment, "PITCRIER_MATRIX_PASSWORD"),
        _secret(environment, "PITCRIER_MATRIX_SECRET"),
        environment.get("PITCRIER_MATRIX_UNLIMITED", "") in {"1", "yes", "true"},
    )


def _secret(environment: Mapping[str, str], name: str) -> str:
    """Return a setting, or what stands in the file that is named for it."""
    path = environment.get(f"{name}_FILE")
    if not path:
        return environment.get(name, "").strip()
    try:
        return Path(path).read_text("utf-8")[:LARGEST_SECRET].strip()
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) and error.strerror else "no text"
        raise SettingError(f"{name}_FILE", f"{path}: {why}") from None


def _number(environment: Mapping[str, str], name: str, default: int, most: int) -> int:
    text = environment.get(name, "")
    if not text:
        return default
    if not text.isdigit() or not 1 <= int(text) <= most:
        raise SettingError(name, f"give a number from 1 to {most}")
    return int(text)


# ------------------------------------------------------------------ what a check says of each


@dataclass(frozen=True, slots=True)
class Key:
    """A setting: what holds while it is absent, and the one without which it means nothing."""

    name: str
    absent: str
    needs: str = ""
    secret: bool = False


TOKEN, MATRIX = "PITCRIER_TELEGRAM_TOKEN", "PITCRIER_MATRIX_SERVER"
HOOK = "PITCRIER_TELEGRAM_WEBHOOK_URL"
KEYS = (
    Key("PITCRIER_DB", "the log is ./pitcrier.db", secret=True),
    Key(TOKEN, "no Telegram", secret=True),
    Key("PITCRIER_TELEGRAM_SERVER", "Telegram's own server", TOKEN),
    Key(HOOK, "Telegram is asked, it does not call", TOKEN),
    Key("PITCRIER_TELEGRAM_WEBHOOK_SECRET", "no webhook", HOOK, secret=True),
    Key("PITCRIER_TELEGRAM_WEBHOOK_LISTEN", "127.0.0.1", HOOK),
    Key("PITCRIER_TELEGRAM_WEBHOOK_PORT", "8443", HOOK),
    Key(MATRIX, "no Matrix"),
    Key("PITCRIER_MATRIX_USER", "no Matrix", MATRIX),
    Key("PITCRIER_MATRIX_FOLDER", "the device lives in ./pitcrier-matrix", MATRIX),
    Key("PITCRIER_MATRIX_PASSWORD", "no first login and no repair by itself", MATRIX, secret=True),
    Key("PITCRIER_MATRIX_SECRET", "the keys are sealed by a file beside them", MATRIX, secret=True),
    Key("PITCRIER_MATRIX_UNLIMITED", "the server's usual limit", MATRIX),
    Key("PITCRIER_HEALTH_PORT", "no health pages"),
)


def key_lines(environment: Mapping[str, str]) -> tuple[str, ...]:
    """Return a line a setting, OK or NO, whatever else is wrong; no line shows a value.

    Examples
    --------
    >>> [line for line in key_lines({"PITCRIER_DB2": "x"}) if line.startswith("NO")]
    ['NO: PITCRIER_DB2: there is no such setting. PITCRIER_DB?']
    """
    known = {name for key in KEYS for name in _names(key)}
    strange = sorted(n for n in environment if n.startswith(PREFIX) and n not in known)
    wrong = [f"NO: {name}: there is no such setting.{_meant(name, known)}" for name in strange]
    try:
        read_settings(environment)
    except SettingError as error:
        wrong.append(f"NO: {error}")
    return (*(_line(key, environment) for key in KEYS), *wrong)


def _names(key: Key) -> tuple[str, ...]:
    return (key.name, f"{key.name}_FILE") if key.secret else (key.name,)


def _meant(name: str, known: set[str]) -> str:
    close = get_close_matches(name, known, 1, 0.8)
    return f" {close[0]}?" if close else ""


def _line(key: Key, environment: Mapping[str, str]) -> str:
    given = [name for name in _names(key) if environment.get(name)]
    if not given:
        return f"OK: {key.name} is not set: {key.absent}."
    if len(given) > 1:
        return f"NO: {key.name} and {key.name}_FILE are both set: keep one."
    if key.needs and not any(environment.get(n) for n in (key.needs, f"{key.needs}_FILE")):
        return f"NO: {key.name} does nothing without {key.needs}."
    if given[0] != key.name and _readable_by_all(Path(environment[given[0]])):
        return f"NO: {given[0]}: everybody on this machine can read it: chmod o-r."
    return f"OK: {given[0]} is set."


def _readable_by_all(path: Path) -> bool:
    try:
        return bool(path.stat().st_mode & READ_BY_ALL)
    except OSError:
        return False  # that it cannot be read is said where it is read

"""Environment to a frozen Settings; nothing else reads the environment.

A secret may stand in a file instead: `NAME_FILE` names it, as service managers and containers
hand secrets over.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from core.errors import KitchenError

DEFAULT_DB = "sqlite:///pitcrier.db"
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

"""The folder of secrets: small files, sealed, whole or not there, closed to other users.

Sealed with AES-256-GCM under keys stretched from one secret, each file under its own: a copied
file is of no use without the secret, and one that was tampered with does not open.
"""

from __future__ import annotations

import hashlib
import hmac
import json
import os
import secrets
from pathlib import Path
from typing import Any

from bot.chat.matrix.answers import AccountError

NONCE = 12
TAG = 16


class Box:
    """Reads and writes sealed files in one folder."""

    def __init__(self, folder: Path, secret: str, account: str) -> None:
        self.folder = folder
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            folder.chmod(0o700)
            secret = secret or self._own_secret()
        except OSError as wrong:
            raise AccountError(
                f"the folder {folder} cannot be used ({wrong.strerror})",
                "Make it, or make it writable.",
            ) from wrong
        # RFC 7914: about 50 ms once; the account's name as salt needs no file of its own
        self._root = hashlib.scrypt(secret.encode(), salt=account.encode(), n=2**14, r=8, p=1)

    def key(self, purpose: str) -> bytes:
        """Return the 32 byte key for one purpose."""
        return hmac.digest(self._root, purpose.encode(), "sha256")

    def read(self, name: str) -> dict[str, Any] | None:
        """Return what was written; None if it never was. Raises AccountError if it cannot open."""
        from Crypto.Cipher import AES

        try:
            sealed = (self.folder / name).read_bytes()
        except FileNotFoundError:
            return None
        nonce, tag, text = sealed[:NONCE], sealed[NONCE : NONCE + TAG], sealed[NONCE + TAG :]
        try:
            cipher = AES.new(self.key(name), AES.MODE_GCM, nonce=nonce)
            plain = json.loads(cipher.decrypt_and_verify(text, tag))
        except ValueError as wrong:
            raise AccountError(
                f"the secret does not open {self.folder / name}",
                "Give the secret it was made with, or move the folder away to start anew.",
            ) from wrong
        return dict(plain)

    def write(self, name: str, values: dict[str, Any]) -> None:
        """Write a sealed file, whole: a crash leaves the old one or the new one."""
        from Crypto.Cipher import AES

        cipher = AES.new(self.key(name), AES.MODE_GCM, nonce=secrets.token_bytes(NONCE))
        text, tag = cipher.encrypt_and_digest(json.dumps(values).encode())
        self._put(name, cipher.nonce + tag + text)

    def _own_secret(self) -> str:
        file = self.folder / "secret"
        if not file.exists():
            self._put("secret", secrets.token_urlsafe(32).encode())
        return file.read_text()

    def _put(self, name: str, content: bytes) -> None:
        new = self.folder / f"{name}.new"
        new.unlink(missing_ok=True)
        handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        new.replace(self.folder / name)

    def closed_file(self, path: Path) -> None:
        """Make a file only we can read before a library opens it with wider permissions."""
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.parent.chmod(0o700)
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
        path.chmod(0o600)

"""The account's cross-signing keys, made and kept by the bot itself, and its device signed by them.

Clients begin to leave out devices that nobody signed, and the library has no cross-signing. Three
Ed25519 seeds in a sealed file are all there is to it (Matrix specification, client-server API,
"Cross-signing"): the master key signs the other two, the self-signing key signs the device.
"""

from __future__ import annotations

import base64
import logging
from collections.abc import Mapping
from typing import Any

from bot.chat.matrix.account import Account
from bot.chat.matrix.answers import RefusedError, answered, raw
from bot.chat.matrix.box import Box

LOG = logging.getLogger("pitcrier.matrix")

FILE = "signing"
ROLES = ("master", "self_signing", "user_signing")

Json = dict[str, Any]


def kept_seeds(box: Box) -> dict[str, bytes]:
    """Return the three seeds, made on first use and kept before anything is done with them."""
    import secrets

    kept = box.read(FILE)
    if kept is None:
        kept = {role: base64.b64encode(secrets.token_bytes(32)).decode() for role in ROLES}
        box.write(FILE, kept)
    return {role: base64.b64decode(kept[role]) for role in ROLES}


def unpadded(raw_bytes: bytes) -> str:
    """Return base64 without its padding, as the protocol writes it."""
    return base64.b64encode(raw_bytes).decode().rstrip("=")


def public_key(seed: bytes) -> str:
    """Return the public key of a seed, as the protocol writes it.

    References
    ----------
    RFC 8032, section 7.1, test 1.

    Examples
    --------
    >>> seed = bytes.fromhex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60")
    >>> public_key(seed)
    '11qYAYKxCrfVS/7TyWQHOg7hcvPapiMlrwIaaPcHURo'
    """
    from Crypto.PublicKey import ECC

    return unpadded(ECC.construct(curve="Ed25519", seed=seed).public_key().export_key(format="raw"))


def signature(seed: bytes, value: Mapping[str, Any]) -> str:
    """Return the signature over a value without what is not signed."""
    from Crypto.PublicKey import ECC
    from Crypto.Signature import eddsa
    from nio import Api

    bare = {k: v for k, v in value.items() if k not in {"signatures", "unsigned"}}
    key = ECC.construct(curve="Ed25519", seed=seed)
    return unpadded(eddsa.new(key, "rfc8032").sign(Api.to_canonical_json(bare).encode()))


def identity(user: str, seeds: Mapping[str, bytes]) -> dict[str, Json]:
    """Return the three public keys as they are uploaded, the lower two signed by the master."""
    keys: dict[str, Json] = {}
    for role in ROLES:
        public = public_key(seeds[role])
        keys[role] = {"user_id": user, "usage": [role], "keys": {f"ed25519:{public}": public}}
    for role in ROLES[1:]:
        _sign(keys[role], user, seeds["master"])
    return keys


def _sign(value: Json, user: str, seed: bytes) -> Json:
    by = f"ed25519:{public_key(seed)}"
    value.setdefault("signatures", {}).setdefault(user, {})[by] = signature(seed, value)
    return value


async def keys_on_server(client: Any) -> Json:
    """Return what the server hands out about our own account."""
    asked = await raw(client, "POST", "keys/query", {"device_keys": {client.user_id: []}})
    return dict(asked)


async def sign_device(client: Any, account: Account, box: Box) -> bool:
    """Make sure the account has our signing keys and the device is signed; say whether it is."""
    seeds, user = kept_seeds(box), client.user_id
    known = await keys_on_server(client)
    ours, theirs = public_key(seeds["master"]), known.get("master_keys", {}).get(user, {})
    if f"ed25519:{ours}" not in theirs.get("keys", {}):
        if theirs and not account.reset_signing:
            LOG.warning("the account has signing keys of its own: the device stays unsigned")
            return False
        await _upload(client, account, identity(user, seeds))
    device = known.get("device_keys", {}).get(user, {}).get(client.device_id)
    signed_by = f"ed25519:{public_key(seeds['self_signing'])}"
    if device is None or signed_by in device.get("signatures", {}).get(user, {}):
        return device is not None
    device.pop("unsigned", None)
    signed = {client.device_id: _sign(device, user, seeds["self_signing"])}
    answer = await raw(client, "POST", "keys/signatures/upload", {user: signed})
    return not answer.get("failures")


async def _upload(client: Any, account: Account, keys: dict[str, Json]) -> None:
    """Upload the signing keys: the first time without, later with the password."""
    body: Json = {f"{role}_key": key for role, key in keys.items()}
    try:
        await raw(client, "POST", "keys/device_signing/upload", body)
    except RefusedError as refused:
        if refused.code != "UIA" or not account.password:
            raise
        body["auth"] = password_proof(account, client.user_id, refused.words)
        await raw(client, "POST", "keys/device_signing/upload", body)


def password_proof(account: Account, user: str, session: str) -> Json:
    """Return the password as the server wants it before it does something that matters."""
    return {
        "type": "m.login.password",
        "identifier": {"type": "m.id.user", "user": user},
        "password": account.password,
        "session": session,
    }


async def delete_device(client: Any, account: Account, device: str) -> None:
    """Remove a device of ours that nobody holds any more."""
    answer = await answered(client.delete_devices([device]))
    if hasattr(answer, "session"):
        proof = password_proof(account, client.user_id, answer.session)
        await answered(client.delete_devices([device], auth=proof))

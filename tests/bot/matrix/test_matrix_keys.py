"""Devices, their keys and what becomes of them: lost, used up, new, forged."""

from __future__ import annotations

import asyncio
import base64
import json
import shutil
from pathlib import Path
from typing import Any

import pytest
import vodozemac
from nio import Api

from bot.chat.matrix import AccountError, State
from bot.chat.matrix.answers import answered, raw
from bot.ports import Happened, Outgoing, Sent
from tests.bot.matrix.crew import PATIENCE_S, Bot, Phone, account_of, bot_of, phone, started
from tests.published import published
from tests.synapse import Synapse


def session_of(bot: Bot) -> dict[str, Any]:
    assert bot.matrix._door is not None
    return dict(bot.matrix._door.box.read("session") or {})


def signed(value: dict[str, Any], user: str, key_id: str) -> None:
    """Raise unless a value carries a good signature of this key: checked by another library."""
    public = vodozemac.Ed25519PublicKey.from_base64(key_id.removeprefix("ed25519:"))
    signature = vodozemac.Ed25519Signature.from_base64(value["signatures"][user][key_id])
    bare = {k: v for k, v in value.items() if k not in {"signatures", "unsigned"}}
    public.verify_signature(Api.to_canonical_json(bare).encode(), signature)


@published("Matrix specification v1.11, client-server API, 'Cross-signing' and 'Signing JSON'")
async def test_our_device_is_signed_by_the_account_as_another_account_can_check(
    bot: Bot, ben: Phone
) -> None:
    user = bot.matrix.account.user
    keys = await raw(ben.client, "POST", "keys/query", {"device_keys": {user: []}})
    master, own = keys["master_keys"][user], keys["self_signing_keys"][user]
    signed(own, user, next(iter(master["keys"])))
    device = keys["device_keys"][user][session_of(bot)["device_id"]]
    signed(device, user, next(iter(own["keys"])))


async def test_what_is_kept_on_disk_is_closed_to_other_users_and_names_no_token(
    bot: Bot, room: str
) -> None:
    folder = bot.matrix.account.folder
    token = session_of(bot)["access_token"]
    for path in [folder, *folder.rglob("*")]:
        if path.name != "device.lock":
            assert path.stat().st_mode & 0o077 == 0, path
        if path.is_file():
            assert token.encode() not in path.read_bytes(), path


async def test_a_restart_keeps_the_device_and_reads_on(bot: Bot, ben: Phone, room: str) -> None:
    device = session_of(bot)["device_id"]
    await bot.stop()
    await ben.say(room, "b1 off 54")
    await bot.start()
    await bot.hears("b1 off 54")
    assert session_of(bot)["device_id"] == device


async def test_after_a_kill_nothing_is_lost_and_nothing_heard_twice(
    bot: Bot, ben: Phone, room: str
) -> None:
    await ben.say(room, "b1 on")
    await bot.hears("b1 on")
    await bot.die()
    for text in ("b1 off 54", "b2 on"):
        await ben.say(room, text)
    bot.matrix._ears = bot.matrix._mouth = None
    await bot.start()
    await bot.hears("b2 on")
    assert bot.texts() == ["b1 on", "b1 off 54", "b2 on"]


@pytest.mark.parametrize("damage", ["gone", "torn", "empty"])
async def test_a_lost_crypto_store_is_made_good_by_a_new_signed_device(
    synapse: Synapse, bot: Bot, ben: Phone, room: str, damage: str
) -> None:
    await ben.say(room, "b1 on")
    await bot.hears("b1 on")
    await bot.stop()
    old = Path(next((bot.matrix.account.folder / "store").glob("*.db")))
    if damage == "gone":
        shutil.rmtree(old.parent)
    else:
        old.write_bytes(b"" if damage == "empty" else b"no database at all" * 400)
    await ben.say(room, "b1 off 54")  # under the key the old device has: it was exported
    await bot.start()
    await bot.hears("b1 off 54")
    session = session_of(bot)
    assert session["device_id"] != old.stem
    assert session["drop"] == []
    user = bot.matrix.account.user
    keys = await raw(ben.client, "POST", "keys/query", {"device_keys": {user: []}})
    assert list(keys["device_keys"][user]) == [session["device_id"]]
    own = next(iter(keys["self_signing_keys"][user]["keys"]))
    signed(keys["device_keys"][user][session["device_id"]], user, own)
    await ben.look()
    await ben.say(room, "b2 on")
    await bot.hears("b2 on")
    assert isinstance(await bot.matrix.send(room, Outgoing(("b2 on.",)), "r:9:0"), Sent)
    assert (await ben.reads("b2 on.")).decrypted
    assert not [m for m in bot.heard if m.happened is Happened.UNREADABLE]


async def test_without_the_password_a_lost_store_is_said_and_nothing_is_broken(
    synapse: Synapse, tmp_path: Path
) -> None:
    user, folder = synapse.person("pitcrier"), tmp_path / "m"
    async with started(bot_of(account_of(synapse, user, folder))):
        pass
    shutil.rmtree(folder / "store")
    bare = bot_of(account_of(synapse, user, folder, password=""))
    await bare.matrix.start()
    assert [b async for b in bare.matrix.batches()] == []
    assert bare.matrix.state is State.REVOKED
    assert "crypto store is lost" in bare.matrix.why
    await bare.matrix.stop()


async def test_a_secret_that_does_not_fit_is_refused_before_anything_is_replaced(
    synapse: Synapse, tmp_path: Path
) -> None:
    user, folder = synapse.person("pitcrier"), tmp_path / "m"
    async with started(bot_of(account_of(synapse, user, folder, secret="oak and cherry"))):
        assert not (folder / "secret").exists()
    before = (folder / "session").read_bytes()
    other = bot_of(account_of(synapse, user, folder, secret="beech"))
    await other.matrix.start()
    assert [b async for b in other.matrix.batches()] == []
    assert "does not open" in other.matrix.why
    await other.matrix.stop()
    assert (folder / "session").read_bytes() == before


async def test_used_up_one_time_keys_are_refilled_at_once(
    synapse: Synapse, bot: Bot, ben: Phone, room: str
) -> None:
    us, device = bot.matrix.account.user, session_of(bot)["device_id"]
    await bot.stop()
    claim = {"one_time_keys": {us: {device: "signed_curve25519"}}}
    given: list[bool] = []
    while not given or given[-1]:
        answer = await raw(ben.client, "POST", "keys/claim", claim)
        given.append(bool(answer["one_time_keys"]))
    assert len(given) > 20
    await bot.start()
    async with phone(synapse, ben.user) as newer:  # needs a one-time key to be understood
        await newer.waits_for(room, us)
        await newer.say(room, "b2 on")
        await bot.hears("b2 on")


async def test_what_cannot_be_decrypted_is_told_once_and_asked_for(
    bot: Bot, ben: Phone, room: str
) -> None:
    us = bot.matrix.account.user
    for known in ben.client.device_store.active_user_devices(us):
        ben.client.blacklist_device(known)
    event_id = await ben.say(room, "b2 on")
    told = await bot.hears(happened=Happened.UNREADABLE)
    assert (told.ext_id, told.who, told.text) == (event_id, ben.user, "")
    asked = await ben.sees_to_device("m.room_key_request")
    assert asked.source["content"]["requesting_device_id"] == session_of(bot)["device_id"]
    await bot.stop()
    await bot.start()
    await lookout(bot)
    assert len([m for m in bot.heard if m.happened is Happened.UNREADABLE]) == 1
    assert bot.texts() == []


async def lookout(bot: Bot) -> None:
    """Let the grace for late keys pass."""
    await asyncio.sleep(bot.matrix.account.key_grace_s + 0.3)


async def until_held(bot: Bot) -> None:
    """Wait until something was heard that cannot be read yet."""
    ears = bot.matrix._ears
    assert ears is not None
    async with asyncio.timeout(PATIENCE_S):
        while not ears._held:
            await asyncio.sleep(0.02)


async def test_a_key_that_comes_late_still_lets_the_word_be_heard_once(
    bot: Bot, ben: Phone, room: str
) -> None:
    us = bot.matrix.account.user
    object.__setattr__(bot.matrix.account, "key_grace_s", 600.0)
    known = next(iter(ben.client.device_store.active_user_devices(us)))
    ben.client.blacklist_device(known)
    share = ben.client.share_group_session(room, ignore_unverified_devices=True)
    await answered(share)
    session = ben.client.olm.outbound_group_sessions[room]
    key = session.session_key  # as it is before the first message
    await ben.say(room, "b2 on")
    held_at = bot.cursor
    await until_held(bot)
    assert bot.heard[-1].happened is Happened.JOINED
    await share_late(ben, room, known, session.id, key)
    await bot.hears("b2 on")
    assert bot.texts() == ["b2 on"]
    assert bot.cursor != held_at


async def share_late(ben: Phone, room: str, device: Any, session: str, key: str) -> None:
    """Send a device the key of a session it was left out of."""
    olm = ben.client.olm
    ben.client.unblacklist_device(device)
    claimed = {device.user_id: [device.id]}
    if olm.session_store.get(device.curve25519) is None:
        await answered(ben.client.keys_claim(claimed))
    content = {
        "algorithm": "m.megolm.v1.aes-sha2",
        "room_id": room,
        "session_id": session,
        "session_key": key,
    }
    sealed = olm._olm_encrypt(
        olm.session_store.get(device.curve25519), device, "m.room_key", content
    )
    path = "sendToDevice/m.room.encrypted/late"
    await raw(ben.client, "PUT", path, {"messages": {device.user_id: {device.id: sealed}}})


async def test_a_word_sent_in_clear_into_an_encrypted_room_is_not_acted_on(
    bot: Bot, ben: Phone, room: str
) -> None:
    content = {"msgtype": "m.text", "body": "lift the stop"}
    await raw(ben.client, "PUT", f"rooms/{room}/send/m.room.message/clear", content)
    await bot.hears(happened=Happened.UNREADABLE)
    assert bot.texts() == []


async def test_a_new_phone_of_somebody_known_is_told_and_can_be_used(
    synapse: Synapse, bot: Bot, ben: Phone, room: str
) -> None:
    await ben.say(room, "b1 on")
    await bot.hears("b1 on")
    assert not [m for m in bot.heard if m.happened is Happened.NEW_DEVICE]
    async with phone(synapse, ben.user) as newer:
        told = await bot.hears(happened=Happened.NEW_DEVICE)
        assert (told.who, told.text, told.private) == (ben.user, newer.client.device_id, False)
        await newer.waits_for(room, bot.matrix.account.user)
        await newer.say(room, "b2 on")
        await bot.hears("b2 on")
        assert isinstance(await bot.matrix.send(room, Outgoing(("b2 on.",)), "r:1"), Sent)
        assert (await newer.reads("b2 on.")).decrypted


async def test_a_new_phone_of_somebody_alone_with_us_is_told_of_that_room(
    synapse: Synapse, bot: Bot, ben: Phone, room: str
) -> None:
    us = bot.matrix.account.user
    alone = await ben.make_room(us, direct=True)
    await bot.comes_into(alone)
    await ben.waits_for(alone, us)
    await ben.say(alone, "b1 on")
    await bot.hears("b1 on")
    async with phone(synapse, ben.user):
        told = await bot.hears(happened=Happened.NEW_DEVICE)
    assert (told.room, told.private) == (alone, True)
    assert room != alone


async def test_a_call_nobody_answered_goes_out_again_under_a_new_key(
    bot: Bot, ben: Phone, room: str
) -> None:
    await bot.matrix.send(room, Outgoing(("pull b2",)), "c:1")
    again = await bot.matrix.send_with_new_keys(room, Outgoing(("pull b2",)), "c:1:again")
    assert isinstance(again, Sent)
    first = await ben.reads("pull b2")
    second = await ben.sees(lambda e: e.event_id == again.id)
    assert first.session_id != second.session_id


async def test_keys_the_account_got_elsewhere_are_not_replaced_unasked(
    synapse: Synapse, tmp_path: Path, ben: Phone
) -> None:
    user = synapse.person("pitcrier")

    async def master() -> str:
        keys = await raw(ben.client, "POST", "keys/query", {"device_keys": {user: []}})
        return json.dumps(keys["master_keys"][user]["keys"])

    async with started(bot_of(account_of(synapse, user, tmp_path / "elsewhere"))):
        first = await master()
    async with started(bot_of(account_of(synapse, user, tmp_path / "second"))):
        assert await master() == first
    third = account_of(synapse, user, tmp_path / "third", reset_signing=True)
    async with started(bot_of(third)):
        assert await master() != first


async def test_a_wrong_password_is_said_in_words_and_not_tried_again(
    synapse: Synapse, tmp_path: Path
) -> None:
    wrong = account_of(synapse, synapse.person("pitcrier"), tmp_path / "m", password="guess")
    bot = bot_of(wrong)
    await bot.matrix.start()
    assert [b async for b in bot.matrix.batches()] == []
    assert "refused the login" in bot.matrix.why
    assert "guess" not in bot.matrix.why
    await bot.matrix.stop()


def test_a_folder_that_cannot_be_made_is_said_in_words(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    from bot.chat.matrix.box import Box

    with pytest.raises(AccountError, match="cannot be used"):
        Box(tmp_path / "file" / "matrix", "", "@bot:pit.test")


def test_a_sealed_file_that_was_changed_does_not_open(tmp_path: Path) -> None:
    from bot.chat.matrix.box import Box

    box = Box(tmp_path, "oak", "@bot:pit.test")
    box.write("session", {"device_id": "PIT"})
    assert Box(tmp_path, "oak", "@bot:pit.test").read("session") == {"device_id": "PIT"}
    sealed = bytearray((tmp_path / "session").read_bytes())
    sealed[-1] ^= 1
    (tmp_path / "session").write_bytes(sealed)
    with pytest.raises(AccountError, match="does not open"):
        box.read("session")
    assert base64.b64encode(box.key("a")) != base64.b64encode(box.key("b"))

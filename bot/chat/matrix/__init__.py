"""A front-end for rooms of the Matrix open standard, encrypted ones above all.

Read downwards; nothing outside this folder knows the library, and it is imported only when used.

```
front.py      Matrix: what the rest of the program holds, a Remote; its states
account.py    Account: which server, which user, which folder; Allowance: how much a server hears
box.py        the folder of secrets: sealed files for the session, the signing seeds, the threads
door.py       logged in once, then the kept session; a lost crypto store or session made good
signing.py    the account's cross-signing keys, and the device signed with them
listening.py  the sync loop: one round is one Batch; backoff; what is held until its key comes
gaps.py       what a cut timeline left out, paged back
rooms.py      invitations, upgraded rooms, who is alone with us, power levels
heard.py      an event of the protocol to Incoming; pure
upkeep.py     after each round: keys uploaded, asked, claimed; devices not seen before
speaking.py   Outgoing to events and events to the server, each under its transaction id
words.py      Outgoing to the contents of events; pure
files.py      pictures and files, up and down, encrypted where the room is
answers.py    the library returns errors: here they are raised, and turned into receipts
```

Trust. Who somebody is comes from the account and the role it has here, never from a device being
verified: nobody checks emoji over a fire. A device is trusted when first seen; a later one of the
same person is told as NEW_DEVICE, so that a lead can ask. A message counts only if its sender's own
device made it: one sent in clear into an encrypted room is told as UNREADABLE and not acted on.
Reactions travel in clear, by the standard: who runs the server could forge a tick, not a word.

Once. The transaction id is made from the key of the send, so the server answers a repeat with the
event it already has, for a day and for as long as the device stays the same. What was heard is in
the inbox, with the token it was read up to, before the server is asked for more.

Taps. The standard has no buttons. Choices are a numbered line, answered with the number, by a
reaction with its keycap, or by ✅ for the first. A ✅ put there by us is one tap less to look for,
but costs a second event of the ten a server allows at once and twelve a minute, which would hold up
the next call: it is only put under ringing messages, and only where the operator lifted the limit.
"""

from __future__ import annotations

from bot.chat.matrix.account import SYNAPSE_DEFAULT, UNLIMITED, Account, Allowance
from bot.chat.matrix.answers import AccountError
from bot.chat.matrix.front import Matrix, State

__all__ = [
    "SYNAPSE_DEFAULT",
    "UNLIMITED",
    "Account",
    "AccountError",
    "Allowance",
    "Matrix",
    "State",
]

"""inbox, facts, outbox, cursor: everything that must survive a killed process.

Read in this order:

    tables.py     what is kept, and migrations/ how the tables came to be
    opening.py    open_store: one copy, tables brought up to date, what was in hand owed again
    sql.py        SqlStore, the FactStore of ports.py: one method, one transaction
    appends.py    facts, sends and the closed inbox row in one commit
    log.py        facts chained by hashes; read, verified
    inbox.py      heard once, handled once
    queueing.py   what is owed; claiming.py what is in hand; settling.py how it went
    policy.py     what follows from how a send went
    wake.py       when each stream has its next call due: a cache; who rings it
    together.py   several copies on one server: posts and news
    threads.py    one thread writes, one reads; what waits goes into one commit
    prepared.py   statements that run all the time, as the driver's own text
    engine.py     how both databases are opened and what their errors mean
    schema.py     steps to the newest tables; lock.py one copy on one file
    backup.py     a copy while running, and putting it back; copies.py one SQLite file;
                  __main__.py both as commands
    people.py     who is who and which room works for which cook; files.py photos and documents
"""

from __future__ import annotations

from bot.store.opening import open_store
from bot.store.sql import SqlStore

__all__ = ["SqlStore", "open_store"]

"""The rows of service, silence and timers; the table takes them in before what is looser.

Slash name, group, words, an example in each language, what it makes, and its reader.
"""

from __future__ import annotations

from collections.abc import Callable

from bot.phrases.heard import Heard
from bot.phrases.quiet import read_stop_timer, read_timer, read_timers, read_unmute
from bot.phrases.said import Said
from bot.phrases.service import (
    read_count,
    read_hold,
    read_last,
    read_left,
    read_number,
    read_portion,
    read_queue,
    read_restart,
    read_set_out,
)
from bot.phrases.when import (
    read_catch_up,
    read_first,
    read_how_long,
    read_keep_or_bin,
    read_left_asked,
    read_mine,
    read_moved,
    read_seconds,
    read_when,
)

Reader = Callable[[Said], Heard | None]

SERVICE_ROWS: tuple[tuple[str, str, tuple[str, ...], str, str, str, Reader], ...] = (
    ("ask", "service", (), "review 46 kg", "repaso 46 kg", "GiveNumber", read_number),
    ("serve", "service", (), "hold service", "para el servicio", "HoldService", read_hold),
    ("serve", "service", (), "restart service", "seguimos", "RestartService", read_restart),
    ("mute", "service", (), "unmute", "ya puedes hablar", "Mute", read_unmute),
    ("status", "service", (), "timers", "mis alarmas", "timers", read_timers),
    ("check", "service", ("timer",), "stop timer sauce", "cancela alarma salsa", "StopTimer",
     read_stop_timer),
    ("check", "service", ("timer",), "timer 12 min sauce", "alarma 12 min salsa", "SetTimer",
     read_timer),
    ("who", "service", ("who",), "who moved plates", "quien movió los platos", "moved",
     read_moved),
    ("me", "service", (), "my jobs", "mis tareas", "me", read_mine),
    ("status", "service", (), "what did i miss", "acabo de llegar", "catch-up", read_catch_up),
    ("serve", "service", (), "which box first", "qué caja primero", "first", read_first),
    ("serve", "service", (), "seconds", "segunda vuelta", "seconds", read_seconds),
    ("serve", "service", (), "last firsts", "últimos platos", "ReportStep", read_last),
    ("serve", "service", (), "keep or bin", "sobras", "leftovers", read_keep_or_bin),
    ("status", "service", ("left",), "how many left", "cuántos quedan", "left", read_left_asked),
    ("serve", "service", (), "line 30 deep", "cola de 30", "SeeQueue", read_queue),
    ("serve", "service", (), "210 out", "van 210", "CountPlates", read_count),
    ("serve", "service", ("left",), "48 plates left", "quedan 48 platos", "CountLeft", read_left),
    ("serve", "service", (), "salad on the line", "ensalada en la línea", "SetOut", read_set_out),
    ("serve", "service", (), "portion 4 slices", "ración 4 lonchas", "SetPortion", read_portion),
    ("light", "service", (), "when do i light", "cuándo enciendo", "light", read_when),
    ("next", "service", (), "how long for the lamb", "cuánto le falta al cordero", "how-long",
     read_how_long),
)  # fmt: skip
"""In the order they are tried."""

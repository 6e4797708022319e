"""The table: what the crew can say. The first row that reads a line has it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bot.phrases.changes import read_heads, read_late, read_plates
from bot.phrases.covers import read_keep, read_lid, read_surface
from bot.phrases.heard import Heard
from bot.phrases.kitchen import KITCHEN_ROWS
from bot.phrases.labels import read_batch, read_label, read_swap
from bot.phrases.lists import read_load_out, read_loaded, read_look
from bot.phrases.probes import read_ice, read_probe, read_probed
from bot.phrases.readings import read_reading
from bot.phrases.reports import read_report
from bot.phrases.safety import read_alarm, read_back, read_lift, read_pink, read_sick
from bot.phrases.said import Said
from bot.phrases.service_rows import SERVICE_ROWS
from bot.phrases.short import (
    read_answer,
    read_ask,
    read_bare_number,
    read_choice,
    read_close,
    read_cook,
    read_help,
    read_me,
    read_mute,
    read_next,
    read_plan,
    read_sos,
    read_status,
    read_undo,
    read_who,
)
from bot.phrases.slip_rows import CURE_ROW, SLIP_ROWS

SLASHES = (
    "cook", "heads", "plates", "light", "on", "off", "flip", "pull", "rest", "dress", "serve",
    "done", "check", "temp", "late", "ask", "status", "next", "me", "undo", "who", "mute", "sos",
    "help",
)  # fmt: skip
"""The slash names, the same everywhere."""


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that can be said.

    `slash` is its slash name, `group` where help lists it, `words` the concepts that call for
    it, `en` and `es` an example each, `makes` the name of what it turns into.
    """

    slash: str
    group: str
    words: tuple[str, ...]
    en: str
    es: str
    makes: str
    read: Callable[[Said], Heard | None]


ROWS: tuple[Row, ...] = (
    Row("sos", "ask", ("sos",), "SOS", "emergencia", "sos", read_sos),
    Row("ask", "ask", (), "/ask 5to1 conc 18L tub", "/ask salmuera 6% 25 kg pollo", "Asked",
        read_ask),
    *(Row(*row) for row in KITCHEN_ROWS),
    Row(*CURE_ROW),
    Row("sos", "safety", (), "smoke alarm in tent", "alarma de humo en la carpa", "RaiseAlarm",
        read_alarm),
    Row("done", "safety", (), "lift A: probed in 3 places", "levanta A: sonda en 3 sitios",
        "LiftStop", read_lift),
    Row("done", "safety", (), "approve pink lamb rump", "apruebo lamb rump rosado", "ApprovePink",
        read_pink),
    Row("done", "safety", (), "new buttermilk diff brand", "buttermilk nueva otra marca",
        "SwapBrand", read_swap),
    Row("done", "safety", (), "label buttermilk: milk", "etiqueta buttermilk: leche", "ReadLabel",
        read_label),
    Row("done", "safety", (), "label buttermilk", "etiqueta buttermilk", "ShowLabel", read_label),
    Row("done", "safety", (), "salad batch 2 made 10:40", "ensalada lote 2 hecha 10:40",
        "MakeBatch", read_batch),
    Row("check", "safety", (), "probe red ice 0.3", "sonda red hielo 0,3", "CheckIce", read_ice),
    Row("check", "safety", (), "dropped probe 2", "sonda 2 al suelo", "DoubtProbe", read_probe),
    Row("done", "safety", (), "Eli back", "Eli de vuelta", "ReportBack", read_back),
    Row("done", "safety", (), "Carmen is sick", "Carmen vomita", "ReportSick", read_sick),
    Row("temp", "safety", (), "A 38 red", "A 38 red", "GiveReading", read_probed),
    Row("check", "ask", (), "check A", "revisa A", "check", read_look),
    Row("status", "ask", (), "load-out", "carga", "load-out", read_load_out),
    Row("done", "report", (), "loaded tongs", "cargadas pinzas", "TickLoaded", read_loaded),
    Row("done", "report", (), "wrapped B 14:10", "envuelto B 14:10", "ReportSurface",
        read_surface),
    Row("done", "report", (), "lid opened P1", "tapa abierta P1", "ReportLid", read_lid),
    Row("cook", "change", (), "keep yield pork collar 77 %", "guarda rendimiento aguja 77 %",
        "KeepMeasured", read_keep),
    *(Row(*row) for row in SLIP_ROWS),
    *(Row(*row) for row in SERVICE_ROWS),
    Row("done", "report", (), "[2]", "[2]", "Choose", read_choice),
    Row("undo", "report", ("undo",), "undo", "deshacer", "Undo", read_undo),
    Row("done", "report", ("ok", "done", "yes"), "ok", "oído", "AnswerCall", read_answer),
    Row("done", "report", ("done",), "A done", "A hecho", "ReportStep", read_report),
    Row("check", "report", ("ok",), "/check", "/check", "AnswerCall", read_answer),
    Row("status", "ask", ("status",), "status", "estado", "status", read_status),
    Row("status", "ask", ("plan",), "plan", "plan", "plan", read_plan),
    Row("next", "ask", ("next",), "what's next", "qué toca", "next", read_next),
    Row("me", "ask", ("me",), "me", "qué hago", "me", read_me),
    Row("who", "ask", ("who",), "who is on", "quién está", "who", read_who),
    Row("help", "ask", ("help",), "help", "ayuda", "help", read_help),
    Row("mute", "ask", ("mute",), "shut up till 14:00", "cállate hasta las 14", "Mute", read_mute),
    Row("cook", "change", ("close_cook",), "close cook", "cerrar cocina", "CloseCook", read_close),
    Row("cook", "change", ("cook",), "start cook lamb 14:00", "empezar cocina cordero 14:00",
        "cook", read_cook),
    Row("plates", "change", ("plates",), "plates 14:15", "platos a las 14:15", "MovePlates",
        read_plates),
    Row("heads", "change", ("now", "people"), "now 360", "somos 360", "ChangeHeads", read_heads),
    Row("late", "change", ("late",), "running 25 late", "vamos 25 tarde", "RunLate", read_late),
    Row("temp", "read", ("temp",), "A 38", "A 38", "GiveReading", read_reading),
    Row("on", "report", ("on",), "b2 on", "b2 dentro", "ReportStep", read_report),
    Row("off", "report", ("off",), "A off 46", "A fuera 46", "ReportStep", read_report),
    Row("light", "report", ("light",), "light P1", "enciende P1", "ReportStep", read_report),
    Row("flip", "report", ("flip",), "flip A", "da la vuelta A", "ReportStep", read_report),
    Row("pull", "report", ("pull",), "pull A", "saca A", "ReportStep", read_report),
    Row("rest", "report", ("rest",), "rest A", "reposa A", "ReportStep", read_report),
    Row("dress", "report", ("dress", "dressing"), "dressed salad", "aliño hecho", "ReportStep",
        read_report),
    Row("serve", "report", ("serve", "go"), "serve", "marcha", "ReportStep", read_report),
    Row("ask", "ask", (), "47", "47", "Unclear", read_bare_number),
)  # fmt: skip
"""In the order they are tried: what must not be missed first, what is loosest last."""

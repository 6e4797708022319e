"""The rows of the table about what goes wrong: slash name, words, an example each."""

from __future__ import annotations

from bot.phrases.slip_fires import read_cure, read_fire, read_gas, read_supply
from bot.phrases.slip_food import read_dropped, read_frozen, read_goods, read_missed
from bot.phrases.slip_people import read_person, read_speech
from bot.phrases.slip_weather import read_weather

SLIP_ROWS = (
    ("done", "slip", (), "tray dropped 24", "bandeja al suelo 24", "DropPieces", read_dropped),
    ("done", "slip", (), "propane out", "se acabó el butano", "GasOut", read_gas),
    ("done", "slip", (), "power out", "se fue la luz", "SupplyOut", read_supply),
    ("done", "slip", (), "wind 30", "viento 30", "SwitchWeather", read_weather),
    ("done", "slip", (), "tub missed", "un cubo sin salmuera", "LotMissed", read_missed),
    ("done", "slip", (), "delivery lamb rump 8 °C", "pedido lamb rump 8 °C", "GoodsOff",
     read_goods),
    ("done", "slip", (), "meat still half frozen", "carne aún medio congelada", "FoundFrozen",
     read_frozen),
    ("plates", "slip", (), "10 min speech first", "10 min de discurso antes", "SpeechFirst",
     read_speech),
    ("done", "slip", (), "P1 down", "P1 averiado", "FireDown", read_fire),
    ("done", "slip", (), "P1 fixed", "P1 arreglado", "FireBack", read_fire),
    ("done", "slip", (), "P1 slow", "P1 va lento", "FireSlow", read_fire),
    ("done", "slip", (), "Carmen not coming", "Carmen no viene", "PersonOut", read_person),
    ("done", "slip", (), "Carmen is here", "Carmen ya está aquí", "PersonIn", read_person),
)  # fmt: skip
"""In the order they are tried."""

CURE_ROW = ("done", "slip", (), "sauce split", "salsa cortada", "AskCure", read_cure)
"""Tried before the alarms: a sauce that has split is nobody's cut."""

"""One wish about what went wrong to its file."""

from __future__ import annotations

from datetime import datetime
from typing import assert_never

from core.cook.decision import Decision
from core.cook.slips.asking import taken
from core.cook.slips.cures import cure
from core.cook.slips.fires import fire_back, fire_down, fire_slow
from core.cook.slips.food import dropped, found_frozen, goods_off, lot_missed
from core.cook.slips.holding import speech_first
from core.cook.slips.people import person_in, person_out
from core.cook.slips.supplies import gas_out, supply_out
from core.cook.slips.weather import weather_switched
from core.cook.state import Cook
from core.facts.slips import (
    AskCure,
    DropPieces,
    FireBack,
    FireDown,
    FireSlow,
    FoundFrozen,
    GasOut,
    GoodsOff,
    LotMissed,
    PersonIn,
    PersonOut,
    SlipWish,
    SpeechFirst,
    SupplyOut,
    SwitchWeather,
    TakeOption,
)


def slip_decided(cook: Cook, wish: SlipWish, by: str, at: datetime, now: datetime) -> Decision:
    """Return what a slip makes of a cook: what is true is booked, what to do is asked."""
    match wish:
        case FireDown():
            return fire_down(cook, wish, by, at, now)
        case FireBack():
            return fire_back(cook, wish, by, at, now)
        case FireSlow():
            return fire_slow(cook, wish, now)
        case SwitchWeather():
            return weather_switched(cook, wish, by, at, now)
        case GasOut():
            return gas_out(cook, wish, by, at, now)
        case SupplyOut():
            return supply_out(cook, wish, by, at, now)
        case PersonOut():
            return person_out(cook, wish, by, at, now)
        case PersonIn():
            return person_in(cook, wish, by, at, now)
        case DropPieces():
            return dropped(cook, wish, by, at, now)
        case LotMissed():
            return lot_missed(cook, wish, by, at, now)
        case GoodsOff():
            return goods_off(cook, wish, by, at)
        case FoundFrozen():
            return found_frozen(cook, wish, by, at, now)
        case AskCure():
            return cure(cook, wish, now)
        case SpeechFirst():
            return speech_first(cook, wish, by, at, now)
        case TakeOption():
            return taken(cook, wish, by, at, now)
        case _:
            assert_never(wish)

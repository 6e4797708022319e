"""Words that safety findings share: rule books, foods, spans of time."""

from __future__ import annotations

import math
from collections.abc import Mapping

from core.model import Line, Profile, Qty, say
from core.safety.degrees import Degrees, Limit
from core.safety.food import Cut, Exact, Kind, State

PROFILES: Mapping[Profile, Line] = {
    Profile.US: say("US food service"),
    Profile.US_CONSUMER: say("US consumer"),
    Profile.UK: say("UK"),
    Profile.SCOTLAND: say("Scotland"),
    Profile.ES: say("Spain"),
    Profile.AU: say("Australia"),
    Profile.NZ: say("New Zealand"),
    Profile.CA: say("Canada"),
}

KINDS: Mapping[Kind, Line] = {
    Kind.BEEF: say("beef"),
    Kind.LAMB: say("lamb"),
    Kind.PORK: say("pork"),
    Kind.GAME: say("game"),
    Kind.WILD_GAME: say("wild game"),
    Kind.RATITE: say("ostrich or emu"),
    Kind.POULTRY: say("poultry"),
    Kind.FISH: say("fish"),
    Kind.EGG: say("egg"),
    Kind.PLANT: say("vegetables"),
}

STATES: Mapping[State, Line] = {
    State.INTACT: say("whole and not injected"),
    State.OPENED: say("injected or tenderised"),
    State.MINCED: say("minced"),
    State.STUFFED: say("stuffed"),
}

CUTS: Mapping[Cut, Line] = {
    Cut.PIECE: say("a portion piece"),
    Cut.STEAK: say("a steak"),
    Cut.ROAST: say("a whole roast"),
    Cut.WHOLE: say("a whole bird"),
}


def span(seconds: float) -> Qty:
    """Return a length of time as a cook says it: seconds up to 2 min, then minutes, then hours.

    Examples
    --------
    >>> span(16.2), span(252)
    (Qty(value=17, unit='s', digits=0), Qty(value=4.2, unit='min', digits=1))
    """
    if seconds < 120:
        return Qty(math.ceil(seconds - 1e-6), "s", 0)  # never a second short
    minutes = seconds / 60
    if minutes < 10:
        return Qty(minutes, "min", 0 if minutes == round(minutes) else 1)
    if minutes < 120 or minutes % 30:
        return Qty(minutes, "min", 0)
    return Qty(minutes / 60, "h")


def wants(limit: Limit, seconds: float, like: Degrees) -> Line:
    """Return what a row asks, in the unit of the reading."""
    if seconds <= 0:
        return say("the rule asks {limit}", limit=limit.words(like))
    return say("the rule asks {limit} for {hold}", limit=limit.words(like), hold=span(seconds))


def at_for(limit: Limit, seconds: float, like: Degrees) -> Line:
    """Return a temperature and its hold: '68 °C for 17 s'."""
    if seconds <= 0:
        return say("{limit}", limit=limit.words(like))
    return say("{limit} for {hold}", limit=limit.words(like), hold=span(seconds))


def told_apart(one: Exact, other: Exact) -> tuple[Line, Line]:
    """Return words for two things a food may be, naming only what differs."""
    if one.kind is not other.kind:
        return KINDS[one.kind], KINDS[other.kind]
    if one.state is not other.state:
        return STATES[one.state], STATES[other.state]
    if one.cut is not other.cut:
        return CUTS[one.cut], CUTS[other.cut]
    return say("served at once"), say("not served at once")

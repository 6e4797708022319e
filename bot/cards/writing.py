"""Cards written as TOML, so that reading them back gives the same card.

Only what is set is written. Text is quoted as TOML wants it, so no name can add a key; whoever
writes a card reads it back before it is kept.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import date

from core.model import (
    Batch,
    Dish,
    Emergency,
    Event,
    Ingredient,
    MenuItem,
    Per,
    Person,
    Piece,
    Pin,
    Rain,
    Service,
    Size,
    Step,
    Tied,
    Weather,
)

Pairs = Iterator[tuple[str, object]]


def dish_text(dish: Dish) -> str:
    """Return a dish card."""
    tables = [
        _lines(_dish_top(dish)),
        _table("[piece]", _piece(dish.piece)),
        _table("[fits]", iter(dish.fits.items())),
        *(_table("[[ingredient]]", _ingredient(x)) for x in dish.ingredients),
        *(_table("[[step]]", _step(x)) for x in dish.steps),
        _table("[hold]", _hold(dish)),
    ]
    return _joined(tables)


def event_text(event: Event) -> str:
    """Return an event card."""
    tables = [
        _lines(_event_top(event)),
        *(_table("[[menu]]", _menu(x)) for x in event.menu),
        *(_table("[[serve]]", _service(x)) for x in event.serve),
        *(_table("[[pin]]", _pin(x)) for x in event.pins),
        *(_table("[[guest]]", iter([("needs", x.needs), ("heads", x.heads), ("table", x.table),
                                    ("vulnerable", x.vulnerable or None)]))
          for x in event.guests),
        *(_table("[[weather]]", _weather(x)) for x in event.weather),
        _table("[house]", iter([("hot_min", _unit(event.house.hot_min_c, "C")),
                                ("cold_max", _unit(event.house.cold_max_c, "C")),
                                ("table_max", _unit(event.house.table_max_min, "min"))])),
        _table("[travel]", iter([("load_out", _moment(event.travel.load_out)),
                                 ("drive", _unit(event.travel.drive_min, "min")),
                                 ("off_site", _moment(event.travel.off_site))])),
        _table("[emergency]", _emergency(event.emergency)),
    ]  # fmt: skip
    return _joined(tables)


def crew_text(crew: Sequence[Person]) -> str:
    """Return a crew card."""
    return _joined([_table("[[person]]", _person(x)) for x in crew])


# ------------------------------------------------------------------ dish


def _dish_top(dish: Dish) -> Pairs:
    yield "id", dish.id
    yield "name", dish.name
    yield "batch", _amount(dish.batch)
    yield "portion", _amount(dish.portion)
    yield "cuts", dish.cuts


def _piece(piece: Piece) -> Pairs:
    yield "weight", _unit(piece.weight_kg, "kg")
    yield "thickness", _unit(piece.thickness_cm, "cm")
    yield "footprint", _size(piece.footprint)
    yield "class", piece.food_class.value if piece.food_class else None
    yield "fat", _percent(piece.fat)


def _ingredient(x: Ingredient) -> Pairs:
    if x.name != x.card:
        yield "name", x.name
    yield "card", x.card
    yield "qty", _amount(Batch(x.qty, x.unit)) if x.qty is not None else None
    yield "parts", x.parts
    yield "fill_to", _unit(x.fill_to_l, "L")
    yield "eaten", None if x.eaten else False
    yield "trim", _percent(x.trim) if x.trim else None
    yield "cook_yield", _percent(x.cook_yield)
    yield "allergens", list(x.allergens) if x.allergens is not None else None
    yield "may_contain", list(x.may_contain) or None
    yield "label_confirmed", x.label_confirmed or None
    yield "packs", [[_amount(Batch(p.amount, p.unit)), *_price(p.price)] for p in x.packs] or None


def _price(price: float | None) -> list[str]:
    return [] if price is None else [f"{price:.2f}"]


def _step(x: Step) -> Pairs:
    yield "id", x.id if x.id != x.do.replace(" ", "-") else None
    yield "do", x.do
    yield "station", x.station
    yield "temp", _unit(x.temp_c, "C")
    yield "start_temp", _unit(x.start_temp_c, "C")
    yield "until_core", _unit(x.until_core_c, "C")
    yield "per", x.per.value if x.per is not Per.LOAD else None
    yield "lot", _amount(Batch(x.lot, x.lot_unit)) if x.lot is not None else None
    yield "min", _unit(x.min_min, "min")
    yield "ideal", _unit(x.ideal_min, "min")
    yield "max", _unit(x.max_min, "min")
    yield "never_over", _unit(x.never_over_min, "min")
    yield "in_wind", _unit(x.in_wind_min, "min")
    checks = [[_unit(c.after_min, "min"), _unit(c.expect_c, "C")] for c in x.checks]
    yield "checks", checks or None
    yield "turns", [_unit(turn, "min") for turn in x.turns_min] or None
    yield "gap", _unit(x.gap_min, "min") if x.gap_min else None
    yield "gap_max", _unit(x.gap_max_min, "min")
    yield "hands", x.hands or None
    yield "shared_by", x.shared_by if x.shared_by != 1 else None
    yield "skill", x.skill
    yield "tied", x.tied.value if x.tied is not Tied.ELASTIC else None
    yield "before_plates", _unit(x.before_plates_min, "min")
    yield "day", x.day
    yield "ahead_max", _unit(x.ahead_max_min, "min")
    yield "keep_above", _unit(x.keep_above_c, "C")
    yield "keep_below", _unit(x.keep_below_c, "C")
    yield "instead_of", x.instead_of


def _hold(dish: Dish) -> Pairs:
    yield "min_temp", _unit(dish.hold.min_temp_c, "C")
    yield "quality_max", _unit(dish.hold.quality_max_min, "min")
    yield "safety", dish.hold.safety or None


# ------------------------------------------------------------------ event


def _event_top(event: Event) -> Pairs:
    yield "id", event.id
    yield "name", event.name
    yield "date", event.day
    yield "tz", event.tz
    yield "profile", event.profile.value if event.profile else None
    yield "heads", event.heads
    yield "tables", event.tables
    yield "languages", list(event.languages)
    yield "currency", event.currency
    yield "calls", event.calls
    yield "sunset", _moment(event.sunset)
    if event.slack_min is not None:
        yield "slack", _unit(event.slack_min, "min")
    else:
        yield "slack_per_hour", _unit(event.slack_per_hour_min, "min")
    yield "altitude", _unit(event.altitude_m, "m") if event.altitude_m else None


def _menu(x: MenuItem) -> Pairs:
    yield "dish", x.dish
    yield "heads", x.heads
    yield "share", _percent(x.share)
    yield "spare", _percent(x.spare)
    yield "make", x.make
    yield "on_demand", x.on_demand or None


def _service(x: Service) -> Pairs:
    yield "from", _moment(x.start)
    yield "by", _moment(x.until)
    yield "dishes", list(x.dishes) or None
    yield "per_min", x.per_min
    yield "curve", [[str(at), heads] for at, heads in x.curve] or None
    yield "at_once", x.at_once or None
    yield "leftovers", x.leftovers or None


def _pin(x: Pin) -> Pairs:
    yield "dish", x.dish
    yield "load", x.load
    yield "step", x.step
    yield "start", _moment(x.start)
    yield "name", x.name
    yield "count", x.count
    yield "station", x.station


def _weather(x: Weather) -> Pairs:
    yield "from", _moment(x.start)
    yield "air", _unit(x.air_c, "C")
    yield "wind", _unit(x.wind_kmh, "km/h")
    yield "gust", _unit(x.gust_kmh, "km/h")
    yield "rain", x.rain.value if x.rain is not Rain.NONE else None


def _emergency(x: Emergency | None) -> Pairs:
    if x is not None:
        yield "number", x.number
        yield "address", x.address
        yield "gate", x.gate or None
        yield "first_aider", x.first_aider or None


# ------------------------------------------------------------------ kit and crew


def _person(x: Person) -> Pairs:
    yield "id", x.id
    yield "name", x.name
    yield "role", x.role.value
    yield "leads", [lead.value for lead in x.leads] or None
    yield "skills", list(x.skills) or None
    yield "languages", list(x.languages) or None
    yield "shifts", [[str(start), str(end)] for start, end in x.shifts] or None
    yield "break", _unit(x.break_min, "min")
    yield "backup", x.backup
    yield "stations", list(x.stations) or None


# ------------------------------------------------------------------ values


def _amount(x: Batch | None) -> str | None:
    return None if x is None else f"{_number(x.amount)} {x.unit}"


def _unit(value: float | None, unit: str) -> str | None:
    return None if value is None else f"{_number(value)} {unit}"


def _percent(fraction: float | None) -> str | None:
    return None if fraction is None else f"{_number(fraction * 100)} %"


def _number(value: float) -> str:
    """Return a number without an exponent, to twelve places."""
    return f"{value:.12f}".rstrip("0").rstrip(".")


def _size(size: Size | None) -> str | None:
    return None if size is None else f"{_number(size.width_cm)} x {_number(size.depth_cm)} cm"


def _moment(moment: object) -> str | None:
    return None if moment is None else str(moment)


def _table(head: str, pairs: Pairs) -> str:
    body = _lines(pairs)
    return f"{head}\n{body}" if body else ""


def _lines(pairs: Pairs) -> str:
    return "".join(f"{key} = {_value(value)}\n" for key, value in pairs if value is not None)


def _value(value: object) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case date():
            return value.isoformat()
        case int():
            return str(value)
        case float():
            return _number(value)
        case list() | tuple():
            return f"[{', '.join(map(_value, value))}]"
        case _:
            return _quoted(str(value))


def _quoted(text: str) -> str:
    """Return a basic string of TOML 1.0: JSON escapes are a part of its own, DEL is escaped too."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _joined(tables: Sequence[str]) -> str:
    return "\n".join(table for table in tables if table)

"""The kit card: fires, ovens, boxes, tables, lanes, tubs and thermometers."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bot.cards import readers as r
from bot.cards.section import Section, Sheet
from core.model import Kit, Probe, Station, StationKind

_MOST_STATIONS = 200


@dataclass(frozen=True, slots=True)
class KitCard:
    """The kit, and the section each family of stations was read from."""

    kit: Kit
    sections: tuple[tuple[Section, str], ...]

    def knows(self, name: str) -> bool:
        """Return whether a step may name this: an id, a family or a kind there is."""
        return bool(self.kit.matching(name))

    def names(self) -> tuple[str, ...]:
        """Return everything a step may name."""
        found = [n for s in self.kit.stations for n in (s.id, s.family, s.kind.value)]
        return tuple(dict.fromkeys(found))


def read_kit(sheet: Sheet) -> KitCard:
    """Return the kit; what is wrong with it is noted on the sheet."""
    top = sheet.top()
    stations: list[Station] = []
    sections: list[tuple[Section, str]] = []
    for section in top.sections("station"):
        family, count = _station(section)
        sections.append((section, family.id))
        ids = [f"{family.id}{i + 1}" for i in range(count)] if count > 1 else [family.id]
        taken = {s.id for s in stations} | {s.family for s in stations}
        if clash := next((x for x in [family.id, *ids] if x in taken), None):
            section.wrong("id", f"there is a station {clash} already", "give each its own id")
        stations += [replace(family, id=x) for x in ids]
    if not stations:
        top.wrong("", "there is no station", "begin each with [[station]], with id and kind")
    if len(stations) > _MOST_STATIONS:
        top.wrong("", f"there are {len(stations)} stations", f"at most {_MOST_STATIONS}")
        stations = stations[:_MOST_STATIONS]
    probes = tuple(_probe(section) for section in top.sections("probe"))
    top.close()
    return KitCard(Kit(tuple(stations), probes), tuple(sections))


def _station(s: Section) -> tuple[Station, int]:
    """Return a family of like stations, and how many there are."""
    station_id = s.need("id", r.name, "?")
    count = s.take("count", r.whole(1, 50), 1)
    station = Station(
        id=station_id,
        kind=s.need("kind", r.one_of(StationKind), StationKind.TABLE),
        family=station_id,
        size=s.maybe("size", r.rectangle),
        racks=s.take("racks", r.whole(1, 100), 1),
        load_by=s.take("load_by", r.choice("all", "rack"), "all"),
        keep_free=s.take("keep_free", r.lost, "0 %"),
        places=s.maybe("places", r.whole(1, 10_000)),
        heat_up_min=s.take("heat_up", r.duration, "0 min"),
        recovery_min=s.take("recovery", r.duration, "0 min"),
        swap_min=s.take("swap", r.duration, "0 min"),
        litres=s.maybe("litres", r.litres),
        fill_max=s.take("fill_max", r.part, "75 %"),
        fuel=s.maybe("fuel", r.text) or "",
        burn=s.maybe("burn", r.text) or "",
        feed_every_min=s.maybe("feed_every", r.some_time),
        power_kw=s.maybe("power", r.power),
        per_min=s.maybe("per_min", r.number(0.01, 100)),
        start=s.maybe("from", r.moment),
    )
    s.close()
    _check_station(s, station)
    return station, count


def _check_station(s: Section, station: Station) -> None:
    if station.id in tuple(StationKind) and station.id != station.kind:
        s.wrong("id", f"{station.id} is the name of another kind", "give it another id")
    if station.per_min is not None and station.kind is not StationKind.LANE:
        s.wrong("per_min", f"a {station.kind} serves nobody", "only a lane has guests a minute")
    if station.load_by == "rack" and station.racks == 1:
        s.wrong("load_by", "there is one rack only", "say how many racks there are")
    if station.keep_free and station.size is None and station.places is None:
        s.wrong("keep_free", "there is no size to keep it free of", "give size or places")


def _probe(s: Section) -> Probe:
    ice_check = s.maybe("ice_check", r.moment)
    probe = Probe(
        id=s.need("id", r.name, "?"),
        kind=s.take("kind", r.choice("instant", "leave-in"), "instant"),
        ice_check=str(ice_check) if ice_check else None,
    )
    s.close()
    return probe

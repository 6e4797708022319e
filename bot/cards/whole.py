"""A whole event: its cards read one by one, then held against each other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from bot.cards.crew import CrewCard, check_places, read_crew
from bot.cards.dish import DishCard, check_cards, read_dish_sheet
from bot.cards.errors import CardError, CardsError, among
from bot.cards.event import EventCard, check_clock, read_event_sheet
from bot.cards.files import EVENT_FILES, card_paths, file_text
from bot.cards.kit import KitCard, read_kit
from bot.cards.section import Section, Sheet
from core.model import FIRES, Cards, Dish, Pin, Step


@dataclass
class _Folder:
    """The files of one event as far as they could be read."""

    sheets: dict[str, Sheet] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    errors: list[CardError] = field(default_factory=list)


def read_event(folder: Path) -> Cards:
    """Return an event's cards.

    Raises `CardsError` with every mistake in them.
    """
    cards, errors = _event(folder)
    if errors or cards is None:
        raise CardsError(errors)
    return cards


def read_dish(path: Path) -> Dish:
    """Return one dish.

    Raises `CardsError` with every mistake on its card.
    """
    text = file_text(path)
    if isinstance(text, CardError):
        raise CardsError((text,))
    sheet = Sheet(str(path), text)
    card = read_dish_sheet(sheet, path.stem)
    if sheet.errors:
        raise CardsError(_in_order(sheet.errors))
    return card.dish


def read_texts(folder: Path) -> dict[str, str]:
    """Return the text of each card by its path within the folder, for the record.

    Raises `CardsError` where a file cannot be read.
    """
    found = _files(folder)
    if found.errors:
        raise CardsError(_in_order(found.errors))
    return found.texts


def cards_of(texts: Mapping[str, str]) -> Cards:
    """Return the cards of an event whose files are at hand as texts.

    Raises `CardsError` with every mistake in them.
    """
    found = _Folder(sheets={name: Sheet(name, text) for name, text in texts.items()})
    missing = [name for name in EVENT_FILES if name not in found.sheets]
    cards = None if missing else _read(found.sheets)
    errors = [CardError(name, 1, "", "there is no such file", "every event has one")
              for name in missing]  # fmt: skip
    errors += [error for sheet in found.sheets.values() for error in sheet.errors]
    if errors or cards is None:
        raise CardsError(_in_order(errors))
    return cards


def check_text(name: str, text: str) -> tuple[CardError, ...]:
    """Return every mistake of one card, told apart by its file's name."""
    sheet = Sheet(name, text)
    _read_alone({name: sheet})
    return _in_order(sheet.errors)


def dish_in(name: str, text: str) -> Dish:
    """Return the dish of a card's text.

    Raises `CardsError` with every mistake on it.
    """
    sheet = Sheet(name, text)
    card = read_dish_sheet(sheet, Path(name).stem)
    if sheet.errors:
        raise CardsError(_in_order(sheet.errors))
    return card.dish


def check(path: Path) -> tuple[CardError, ...]:
    """Return every mistake in an event's folder, in one of its files, or in a dish."""
    if path.is_dir():
        return _event(path)[1]
    if path.suffix != ".toml":
        right = "name an event's folder or a .toml file"
        what = "is not a card" if path.exists() else "there is no such file"
        return (CardError(str(path), 1, "", what, right),)
    text = file_text(path)
    if isinstance(text, CardError):
        return (text,)
    sheet = Sheet(str(path), text)
    match path.name:
        case "event.toml":
            check_clock(read_event_sheet(sheet), (sheet,))
        case "kit.toml":
            read_kit(sheet)
        case "crew.toml":
            read_crew(sheet)
        case _:
            read_dish_sheet(sheet, path.stem)
    return _in_order(sheet.errors)


# ------------------------------------------------------------------ the files


def _files(folder: Path) -> _Folder:
    found = _Folder()
    paths, errors = card_paths(folder)
    found.errors += errors
    for path in paths:
        text = file_text(path)
        if isinstance(text, CardError):
            found.errors.append(text)
        else:
            name = path.relative_to(folder).as_posix()
            found.texts[name] = text
            found.sheets[name] = Sheet(str(path), text)
    return found


def _event(folder: Path) -> tuple[Cards | None, tuple[CardError, ...]]:
    """Return the cards, and every mistake in them; no cards where a file is missing."""
    found = _files(folder)
    present = all(name in found.sheets for name in EVENT_FILES)
    cards = _read(found.sheets) if present else None
    if not present:
        _read_alone(found.sheets)
    for sheet in found.sheets.values():
        found.errors += sheet.errors
    return cards, _in_order(found.errors)


def _read_alone(sheets: Mapping[str, Sheet]) -> None:
    """Note the mistakes of the cards there are, each on its own."""
    for name, sheet in sheets.items():
        match name:
            case "event.toml":
                read_event_sheet(sheet)
            case "kit.toml":
                read_kit(sheet)
            case "crew.toml":
                read_crew(sheet)
            case _:
                read_dish_sheet(sheet, Path(name).stem)


def _in_order(errors: list[CardError]) -> tuple[CardError, ...]:
    """Return the errors as somebody going through the files meets them, each once."""
    return tuple(sorted(dict.fromkeys(errors), key=lambda error: (error.file, error.line)))


# ------------------------------------------------------------------ held against each other


def _read(sheets: Mapping[str, Sheet]) -> Cards:
    event = read_event_sheet(sheets["event.toml"])
    kit = read_kit(sheets["kit.toml"])
    crew = read_crew(sheets["crew.toml"])
    dishes = tuple(
        read_dish_sheet(sheet, Path(name).stem)
        for name, sheet in sheets.items()
        if name.startswith("dishes/")
    )
    if all(sheet.readable for sheet in sheets.values()):
        _check_dish_ids(dishes)
        check_cards(dishes)
        check_places(crew, kit)
        if dishes:
            _check_menu(event, dishes)
        for card in dishes:
            _check_steps(card, kit, crew)
        for pin, section in zip(event.event.pins, event.pins, strict=True):
            _check_pin(pin, section, dishes, kit)
        _check_pin_order(event, dishes)
    check_clock(event, tuple(sheets.values()))
    return Cards(event.event, kit.kit, crew.crew, tuple(card.dish for card in dishes))


def _check_dish_ids(dishes: tuple[DishCard, ...]) -> None:
    seen: set[str] = set()
    for card in dishes:
        if card.dish.id in seen:
            card.top.wrong("id", f"there is a dish {card.dish.id} already", "each its own id")
        seen.add(card.dish.id)


def _check_menu(event: EventCard, dishes: tuple[DishCard, ...]) -> None:
    known = tuple(card.dish.id for card in dishes)
    menu = tuple(item.dish for item in event.event.menu)
    for item, section in zip(event.event.menu, event.menu, strict=True):
        if item.dish and item.dish not in known:
            section.wrong("dish", f"there is no dish {item.dish}", among(item.dish, known))
    for service, section in zip(event.event.serve, event.serve, strict=True):
        for dish in service.dishes:
            if dish not in menu:
                section.wrong("dishes", f"{dish} is not on the menu", among(dish, menu))


def _check_steps(card: DishCard, kit: KitCard, crew: CrewCard) -> None:
    skills = tuple(dict.fromkeys(skill for p in crew.crew for skill in p.skills))
    for row in card.steps:
        step, section = row.step, row.section
        if step.station is not None and not kit.knows(step.station):
            section.wrong(
                "station", f"there is no station {step.station}", among(step.station, kit.names())
            )
        elif step.temp_c is not None and not _on_fire(step, kit):
            section.wrong("temp", f"{step.station or 'no station'} is no fire", "name a fire")
        if step.skill is not None and step.skill not in skills:
            section.wrong("skill", f"nobody has the skill {step.skill}", among(step.skill, skills))
        if step.hands > len(crew.crew):
            section.wrong("hands", f"there are {len(crew.crew)} people", "no more than that")
    for name in card.dish.fits:
        if not kit.knows(name):
            card.fits.wrong(name, f"there is no station {name}", among(name, kit.names()))


def _on_fire(step: Step, kit: KitCard) -> bool:
    return step.station is not None and all(
        station.kind in FIRES for station in kit.kit.matching(step.station)
    )


def _check_pin(pin: Pin, section: Section, dishes: tuple[DishCard, ...], kit: KitCard) -> None:
    known = tuple(card.dish.id for card in dishes)
    card = next((card for card in dishes if card.dish.id == pin.dish), None)
    if card is None:
        if pin.dish:
            section.wrong("dish", f"there is no dish {pin.dish}", among(pin.dish, known))
        return
    steps = tuple(step.id for step in card.dish.steps)
    if pin.step is not None and pin.step not in steps:
        section.wrong("step", f"{pin.dish} has no step {pin.step}", among(pin.step, steps))
    if pin.station is not None and not kit.knows(pin.station):
        section.wrong(
            "station", f"there is no station {pin.station}", among(pin.station, kit.names())
        )


def _check_pin_order(event: EventCard, dishes: tuple[DishCard, ...]) -> None:
    """Note a step of a load pinned before a step that it follows."""
    order = {card.dish.id: [step.id for step in card.dish.steps] for card in dishes}
    pinned = [
        (pin, section)
        for pin, section in zip(event.event.pins, event.pins, strict=True)
        if pin.start is not None and pin.step in order.get(pin.dish, [])
    ]
    for pin, section in pinned:
        for other, _ in pinned:
            if (pin.dish, pin.load) != (other.dish, other.load):
                continue
            steps = order[pin.dish]
            follows = steps.index(pin.step or "") > steps.index(other.step or "")
            if follows and pin.start and other.start and pin.start <= other.start:
                section.wrong(
                    "start", f"{pin.step} is pinned before {other.step}", "steps keep their order"
                )

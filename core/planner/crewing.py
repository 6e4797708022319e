"""Who may do a step and who does it best: skill first, then where people stand, then their role."""

from __future__ import annotations

from core.model import Cards, Person, Role, Station, Step

_NOT_COOKS = frozenset({Role.LANE, Role.RUNNER, Role.WASH, Role.DRIVER})
_COLD_VERBS = frozenset({"dress", "mix", "chill", "blend", "toss", "plate", "portion", "chop"})


def has_skill(person: Person, skill: str) -> bool:
    """Return whether a person has a skill, or a role or lead of that name."""
    return (
        skill in person.skills
        or skill == person.role.value
        or any(skill == lead.value for lead in person.leads)
    )


def stands_at(person: Person, stations: tuple[Station, ...]) -> bool:
    """Return whether one of these stations is the person's own."""
    names = {n for s in stations for n in (s.id, s.family, s.kind.value)}
    return any(own in names for own in person.stations)


def _role_rank(person: Person, step: Step, fire: bool, raw: bool) -> int:
    """0 for whose work this is, 1 for a pair of hands, 2 the chef, 3 who has other work."""
    match person.role:
        case Role.PIT:
            return 0 if fire else 1
        case Role.COLD:
            return 0 if not fire and (step.do in _COLD_VERBS or not raw) else 1
        case Role.RAW:
            return 0
        case Role.CHEF:
            return 2
        case role if role in _NOT_COOKS:
            return 3
        case _:
            return 1


def able(
    cards: Cards, step: Step, stations: tuple[Station, ...], *, fire: bool, raw: bool
) -> tuple[str, ...]:
    """Return the people who may do a step, best first.

    Whoever is kept for raw meat touches nothing from the first fire on (`raw` false): common
    practice. A step that names no skill may be done by anyone else.
    """
    ranked = []
    for person in cards.crew:
        if person.role is Role.RAW and not raw:
            continue
        if step.skill is not None and not has_skill(person, step.skill):
            continue
        own = 0 if stands_at(person, stations) else 1
        role = _role_rank(person, step, fire, raw)
        if step.skill is None and role == 3 and own != 0:
            role = 4
        ranked.append((role + own, own, person.id))
    return tuple(person_id for *_, person_id in sorted(ranked))

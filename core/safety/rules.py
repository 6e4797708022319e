"""Rows of the safety tables as rules: whose they are, what they may do, how they are cited."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cache

from core.model import Finding, Line, Profile, Source, Verdict
from core.tables import Row, table

MAY_CLEAR = frozenset({"C", "C2"})
"""Statuses that may clear; M and house rows only warn or fail."""

_FILES = (
    "food_safety_cooking",
    "food_safety_control",
    "food_safety_hazards",
)


@dataclass(frozen=True, slots=True)
class Rule:
    """One row: its id, whose rule book it stands in, and how it is cited."""

    id: str
    profile: Profile | None
    row: Row
    title: str
    clause: str
    status: str

    @property
    def may_clear(self) -> bool:
        """Say whether meeting this row may clear food."""
        return self.status in MAY_CLEAR

    @property
    def cited(self) -> str:
        """Return the document and the clause."""
        return f"{self.title}, {self.clause}" if self.clause else self.title

    @property
    def source(self) -> Source:
        """Return it as an answer cites it."""
        return Source(self.id, self.title, self.clause, self.status)


def finding(
    rule: Rule | None,
    verdict: Verdict,
    text: Line,
    *,
    profile: Profile | None = None,
    deadline: datetime | None = None,
    lift_by: tuple[str, ...] = (),
    about: str = "",
) -> Finding:
    """Return a safety finding that cites its rule."""
    return Finding(
        kind="safety",
        text=text,
        verdict=verdict,
        rule=rule.id if rule else "",
        profile=rule.profile if rule else profile,
        source=rule.cited if rule else "",
        status=rule.status if rule else "",
        deadline=deadline,
        lift_by=lift_by,
        about=about,
    )


@cache
def rules(file: str, section: str) -> tuple[Rule, ...]:
    """Return the rows of a section as rules, in file order."""
    whole = table(f"food_safety_{file}")
    part = whole[section]
    titles = whole["sources"]
    return tuple(_rule(row, part, titles) for row in part["rows"])


def _rule(row: Row, part: Row, titles: Row) -> Rule:
    source = str(row.get("source", part.get("source", "")))
    return Rule(
        id=str(row["id"]),
        profile=Profile(row["profile"]) if "profile" in row else None,
        row=row,
        title=str(titles.get(source, source)),
        clause=str(row.get("clause", "")),
        status=str(row.get("status", part.get("status", ""))),
    )


def of_profile(section: str, profile: Profile, file: str = "control") -> tuple[Rule, ...]:
    """Return what a rule book says of a subject; nothing means it is unknown."""
    return tuple(rule for rule in rules(file, section) if rule.profile is profile)


def the(section: str, rule_id: str, file: str = "control") -> Rule:
    """Return the rule with this id; KeyError is a bug, the ids are ours."""
    return {rule.id: rule for rule in rules(file, section)}[rule_id]


@cache
def _by_id() -> dict[str, Rule]:
    return {rule.id: rule for rule in _all()}


def _all() -> Iterator[Rule]:
    for name in _FILES:
        file = name.removeprefix("food_safety_")
        for section, part in table(name).items():
            if isinstance(part, dict) and any("id" in row for row in part.get("rows", ())):
                yield from rules(file, section)


def rule_of(found: Finding) -> Rule | None:
    """Return the row a finding cites."""
    return _by_id().get(found.rule)


def source_of(finding: Finding) -> tuple[Source, ...]:
    """Return what a finding rests on, as an answer cites it."""
    rule = rule_of(finding)
    return (rule.source,) if rule else ()


def sources_of(findings: Iterable[Finding]) -> tuple[Source, ...]:
    """Return what several findings rest on, each once."""
    return tuple(dict.fromkeys(source for each in findings for source in source_of(each)))

"""All that may go wrong in front of the crew. Anything else is a bug.

An error carries the data it was made from, one sentence for the cook and a hint on what would
be right. Sentences are English templates; the edge translates them by `template` and `fields`.
"""

from __future__ import annotations

from typing import ClassVar


class KitchenError(Exception):
    """Something the crew can put right; answered in chat, never a traceback."""

    template: ClassVar[str] = "{what}"
    hint: ClassVar[str] = ""

    def __init__(self, **fields: object) -> None:
        self.fields = fields
        super().__init__(self.template.format(**fields))


class OutOfRangeError(KitchenError):
    """A number outside what can be: 'thickness 2 m'."""

    template = "{name} {value} is out of range: it must be {allowed}."
    hint = "Check the number and its unit."

    def __init__(self, name: str, value: object, allowed: str) -> None:
        super().__init__(name=name, value=value, allowed=allowed)


class UnitError(KitchenError):
    """A unit that does not measure what was asked."""

    template = "'{text}' is not a {wanted}."
    hint = "Give the number with its unit, like 1.9 kg, 90 min or 110 C."

    def __init__(self, text: str, wanted: str) -> None:
        super().__init__(text=text, wanted=wanted)


class UnknownNameError(KitchenError):
    """A load, person, dish or station nobody has heard of."""

    template = "I know no {kind} '{name}'. There is: {known}."

    def __init__(self, kind: str, name: object, known: object) -> None:
        super().__init__(kind=kind, name=name, known=known)


class OutOfSequenceError(KitchenError):
    """The load's stage does not allow the step."""

    template = "{load} is {stage}, so '{step}' cannot come next."
    hint = "Say 'status' to see where every load is."

    def __init__(self, load: object, stage: object, step: object) -> None:
        super().__init__(load=load, stage=stage, step=step)


class NotAllowedError(KitchenError):
    """The person may not wish this; names who may."""

    template = "Not yours to change: {what}. Ask {whom}."

    def __init__(self, what: str, whom: str) -> None:
        super().__init__(what=what, whom=whom)


class CannotPlanError(KitchenError):
    """No plan exists for a reason that can be named before any solver runs.

    `why` is a template of its own, with its `values`, so that the edge can translate both.
    """

    template = "No plan: {why}."

    def __init__(self, why: str, **values: object) -> None:
        self.why, self.values = why, values
        super().__init__(why=why.format(**values))


class ClockError(KitchenError):
    """A time that does not exist or is not unique: '02:30' on the spring night."""

    template = "{text} does not exist on {day} in {zone}."
    hint = "The clocks change that night. Give a time that exists."

    def __init__(self, text: str, day: str, zone: str) -> None:
        super().__init__(text=text, day=day, zone=zone)

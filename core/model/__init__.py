"""The nouns: Event, Dish, Step, Load, Station, Person, Plan, Call, Reading, Finding, Answer.

Frozen values, no behaviour beyond simple look-ups. Inside everything is kg, L, min, °C, kW, cm;
an instant is an aware datetime in UTC; a length of time is minutes. A tuple, never a list.

    vocabulary.py closed vocabularies: what a verdict, a role, a station or a sound may be
    lines.py      words with values in them: what the core says, before any language
    event.py      the event card: the party, its service, guests, weather and emergency card
    kit.py        kit and crew: fires, boxes, lanes, thermometers; people
    dish.py       the dish card: ingredients as bought, the piece, the steps in order
    cards.py      the cards of one event together, and the look-ups between them
    plan.py       the plan: loads and tasks on stations with times, people, slack and findings
    day.py        the day: readings, progress and calls
"""

from __future__ import annotations

from core.model.cards import (
    Cards,
)
from core.model.day import (
    Call,
    Progress,
    Reading,
)
from core.model.dish import (
    Batch,
    Check,
    Dish,
    Hold,
    Ingredient,
    Pack,
    Piece,
    Step,
)
from core.model.event import (
    Emergency,
    Event,
    GuestNeed,
    HouseLimits,
    MenuItem,
    Moment,
    Pin,
    Service,
    Travel,
    Weather,
)
from core.model.kit import (
    Kit,
    Person,
    Probe,
    Size,
    Station,
)
from core.model.lines import (
    Answer,
    Clock,
    Label,
    Line,
    Number,
    Qty,
    Source,
    Span,
    Value,
    Who,
    say,
)
from core.model.plan import (
    Bottleneck,
    Buy,
    Finding,
    Load,
    Make,
    Plan,
    StepRun,
    Task,
)
from core.model.vocabulary import (
    FIRES,
    FoodClass,
    Lead,
    Per,
    Place,
    Profile,
    Rain,
    Role,
    Sound,
    StationKind,
    Tied,
    Verdict,
)

__all__ = [
    "FIRES",
    "Answer",
    "Batch",
    "Bottleneck",
    "Buy",
    "Call",
    "Cards",
    "Check",
    "Clock",
    "Dish",
    "Emergency",
    "Event",
    "Finding",
    "FoodClass",
    "GuestNeed",
    "Hold",
    "HouseLimits",
    "Ingredient",
    "Kit",
    "Label",
    "Lead",
    "Line",
    "Load",
    "Make",
    "MenuItem",
    "Moment",
    "Number",
    "Pack",
    "Per",
    "Person",
    "Piece",
    "Pin",
    "Place",
    "Plan",
    "Probe",
    "Profile",
    "Progress",
    "Qty",
    "Rain",
    "Reading",
    "Role",
    "Service",
    "Size",
    "Sound",
    "Source",
    "Span",
    "Station",
    "StationKind",
    "Step",
    "StepRun",
    "Task",
    "Tied",
    "Travel",
    "Value",
    "Verdict",
    "Weather",
    "Who",
    "say",
]

"""Every wish: what `cook.decide` turns into facts or refuses."""

from __future__ import annotations

from core.facts.day import DayWish
from core.facts.heat import HeatWish
from core.facts.house import HouseWish
from core.facts.people import PeopleWish
from core.facts.safety import SafetyWish
from core.facts.service import ServiceWish
from core.facts.slips import SlipWish

Wish = DayWish | PeopleWish | HeatWish | HouseWish | ServiceWish | SlipWish | SafetyWish

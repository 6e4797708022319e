"""Every malformed card is told with its file, line, key, what is wrong and what would be right."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from bot.cards import CardError, CardsError, check, read_dish, read_event, read_texts
from core.errors import KitchenError
from tests.bot.cards_texts import EVENT, SHORTEST, changed, folder

E, K, C, D = "event.toml", "kit.toml", "crew.toml", "dishes/chops.toml"

STEP = '[[step]]\ndo = "rest"\nideal = "5 min"\n'
SMOKE = '[[step]]\ndo = "smoke"\nstation = "grill"\nideal = "40 min"\n'

# file, what is replaced ('' adds at the end), by what; line, key, part of what, part of right
BAD = [
    # unknown keys, with the nearest name
    (E, "heads = 12", "head = 12", 4, "head", "no such key", "did you mean heads?"),
    (E, "tz =", "timezone =", 3, "timezone", "no such key", "there is: "),
    (E, "per_min = 2", "per_mn = 2", 9, "serve.per_mn", "no such key", "did you mean per_min?"),
    (E, "", "[huose]\nhot_min = '63 C'\n", 10, "huose", "no such key", "did you mean house?"),
    (E, "", "[house]\nhotmin = '63 C'\n", 11, "house.hotmin", "no such key", "hot_min"),
    (K, "heat_up", "heatup", 5, "station.heatup", "no such key", "did you mean heat_up?"),
    (C, 'name = "Bo"', 'nmae = "Bo"', 7, "person.nmae", "no such key", "did you mean name?"),
    (D, "ideal =", "idael =", 10, "step.idael", "no such key", "did you mean ideal?"),
    (D, "", "[piece]\nthicknes = '2 cm'\n", 13, "piece.thicknes", "no such key", "thickness"),
    (D, "batch =", '"a\\nb" = 1\nbatch =', 1, "a?b", "no such key", "there is"),
    # missing
    (E, 'id = "lunch"', "", 1, "", "id is missing", "every card needs id"),
    (E, "date = 2026-06-13", "", 1, "", "date is missing", "date"),
    (E, 'tz = "Europe/Madrid"', "", 1, "", "tz is missing", "tz"),
    (E, "heads = 12", "", 1, "", "heads is missing", "heads"),
    (E, 'dish = "chops"', "", 5, "menu", "dish is missing", "every [[menu]] needs dish"),
    (E, 'from = "14:00"', "", 7, "serve", "from is missing", "from"),
    (E, "per_min = 2", "", 7, "serve", "has no pace", "one of per_min, curve, at_once"),
    (K, 'kind = "grill"', "", 1, "station", "kind is missing", "kind"),
    (C, 'id = "bo"', "", 5, "person", "id is missing", "id"),
    (C, 'role = "chef"', "", 1, "", "nobody is the chef", 'role = "chef"'),
    (D, 'batch = "4 pieces"', "", 1, "", "batch is missing", "batch"),
    (D, 'qty = "4 pieces"', "", 3, "ingredient", "has no amount", "qty"),
    (D, 'name = "pork chop"', "", 3, "ingredient", "neither name nor card", "name a good"),
    (D, 'do = "grill"', "", 6, "step", "do is missing", "do"),
    (D, 'ideal = "12 min"', "", 6, "step", "has no time", "until_core with a thickness"),
    # wrong kind of value, wrong unit
    (E, "2026-06-13", '"2026-06-13"', 2, "date", "is not a date", "without quotation marks"),
    (E, "2026-06-13", "2026-06-13T10:00:00", 2, "date", "is not a date", "2026-06-13"),
    (E, "12", '"12"', 4, "heads", "is not a whole number", "without quotation marks"),
    (E, "12", "12.5", 4, "heads", "is not a whole number", "1 to 20000"),
    (E, "12", "true", 4, "heads", "is not a whole number", "1 to 20000"),
    (E, "per_min = 2", 'per_min = "2"', 9, "serve.per_min", "is not a number", "0.01"),
    (E, "per_min = 2", 'at_once = "yes"', 9, "serve.at_once", "is neither", "true or false"),
    (E, "heads = 12", "heads = 12\nslack = 50", 5, "slack", "has no unit", '"90 min"'),
    (E, "[[menu]]", "[menu]", 5, "menu", "is not a list of tables", "[[menu]]"),
    (K, '"100 x 50 cm"', '"100 cm"', 4, "station.size", "is not a size", "200 x 70 cm"),
    (K, '"100 x 50 cm"', '"100 x 50"', 4, "station.size", "is not a size", "200 x 70 cm"),
    (K, '"40 min"', '"40 C"', 5, "station.heat_up", "is not a length of time", '"90 min"'),
    (K, '"40 min"', "40", 5, "station.heat_up", "has no unit", '"90 min"'),
    (D, '"4 pieces"', '"4"', 1, "batch", "is not a weight, volume or count", '"4 pieces"'),
    (D, '"250 C"', '"250"', 9, "step.temp", "is not a temperature", '"110 C"'),
    (D, '"250 C"', '"250 kg"', 9, "step.temp", "is not a temperature", '"110 C"'),
    (D, '"12 min"', '"1:30"', 10, "step.ideal", "is not a length of time", '"90 min"'),
    (D, 'qty = "4 pieces"', 'qty = "1,200 g"', 5, "ingredient.qty", "without a thousands", "1 L"),
    (D, "hands = 1", "hands = '1'", 11, "step.hands", "is not a whole number", "0 to 50"),
    (D, "", "[piece]\nfat = '0.12'\n", 13, "piece.fat", "is not a percentage", '"8 %"'),
    (D, "", "fits = 1\n", 12, "step.fits", "no such key", "there is"),
    (D, "batch =", "fits = 1\nbatch =", 1, "fits", "is not a table", "[fits]"),
    # negative, absurd, empty
    (E, "12", "0", 4, "heads", "0 is out of range", "1 to 20000"),
    (E, "12", "-5", 4, "heads", "-5 is out of range", "1 to 20000"),
    (E, "12", "9" * 30, 4, "heads", "is out of range", "1 to 20000"),
    (E, "per_min = 2", "per_min = nan", 9, "serve.per_min", "is out of range", "0.01 to 500"),
    (E, "per_min = 2", "per_min = inf", 9, "serve.per_min", "is out of range", "0.01 to 500"),
    (E, "2026-06-13", "1026-06-13", 2, "date", "is out of range", "from 2000 to 2100"),
    (E, "heads = 12", "heads = 12\nname = ''", 5, "name", "is empty", "leave the key out"),
    (E, '"lunch"', '"our lunch"', 1, "id", "is no short name", "letters, digits and dashes"),
    (E, '"lunch"', '"../lunch"', 1, "id", "is no short name", "letters, digits and dashes"),
    (E, "12", f"12\nname = '{'x' * 300}'", 5, "name", "is no line of text", "at most 200"),
    (K, '"40 min"', '"-40 min"', 5, "station.heat_up", "is out of range", '"90 min"'),
    (K, '"100 x 50 cm"', '"100 x 0 cm"', 4, "station.size", "is out of range", "200 x 70 cm"),
    (K, '"100 x 50 cm"', '"1 x 1 km"', 4, "station.size", "is not a size", "200 x 70 cm"),
    (K, 'id = "bench"', 'id = "bench"\ncount = 5000', 8, "station.count", "of range", "1 to 50"),
    (D, '"250 C"', '"2500 C"', 9, "step.temp", "is out of range", "30 to 1000 C"),
    (D, '"250 C"', '"-300 C"', 9, "step.temp", "out of range", '"110 C"'),
    (D, '"12 min"', '"-12 min"', 10, "step.ideal", "out of range", '"90 min"'),
    (D, '"4 pieces"', '"-4 pieces"', 1, "batch", "is out of range", '"4 pieces"'),
    (D, '"4 pieces"', '"0 pieces"', 1, "batch", "is out of range", "above 0"),
    (D, "hands = 1", "hands = 40", 11, "step.hands", "there are 2 people", "no more"),
    (D, "", "[piece]\nthickness = '9 m'\n", 13, "piece.thickness", "out of range", "0.1 to 60"),
    # words of closed lists
    (E, "12", '12\nprofile = "fr"', 5, "profile", '"fr" is not one of us us-consumer', "us"),
    (E, "12", '12\ncalls = "all"', 5, "calls", "is not one of both room person", "there is"),
    (E, "12", '12\nlanguages = ["fr"]', 5, "languages", "is not one of en es", "en"),
    (E, "12", '12\nlanguages = "en"', 5, "languages", "is not a list", "square brackets"),
    (E, "12", '12\nlanguages = []', 5, "languages", "is empty", "en, es"),
    (E, "12", '12\ncurrency = "euro"', 5, "currency", "is no currency code", "EUR"),
    (E, "12", '12\ncurrency = "EUX"', 5, "currency", "is no currency code", "ISO 4217"),
    (E, "Europe/Madrid", "Europe/Madird", 3, "tz", "is no time zone", "Europe/Madrid?"),
    (E, "Europe/Madrid", "../../etc/passwd", 3, "tz", "is no time zone", "there is"),
    (K, 'kind = "grill"', 'kind = "gril"', 3, "station.kind", "is not one of", "mean grill?"),
    (C, '"pit"', '"pitmaster"', 8, "person.role", "is not one of chef pit", ""),
    (D, "hands = 1", 'tied = "plate"', 11, "step.tied", "is not one of", "did you mean plates?"),
    (D, "hands = 1", 'per = "batch"', 11, "step.per", "is not one of load lot piece", "load"),
    (D, "", "[piece]\nclass = 'A9'\n", 13, "piece.class", "is not one of A1 A2", ""),
    (D, "", "[hold]\nsafety = 'warm'\n", 13, "hold.safety", "is not one of hot cold time", ""),
    (D, 'qty = "4 pieces"', 'qty = "4 pieces"\nallergens = ["muskard"]', 6,
     "ingredient.allergens", '"muskard" is no allergen I know', "one of gluten wheat"),
    (D, 'qty = "4 pieces"', 'qty = "4 pieces"\nallergens = "milk"', 6,
     "ingredient.allergens", "is not a list", "square brackets"),
    # times of day
    (E, '"14:00"', '"2 pm"', 8, "serve.from", "is not a time of day", '"HH:MM"'),
    (E, '"14:00"', '"25:00"', 8, "serve.from", "is not a time of day", "T+1 00:30"),
    (E, '"14:00"', '"14:60"', 8, "serve.from", "is not a time of day", "HH:MM"),
    (E, '"14:00"', '"T-99 14:00"', 8, "serve.from", "is too far away", "60 days"),
    (E, '"14:00"', "14:00:00", 8, "serve.from", "is not a time of day", '"HH:MM"'),
    (E, "12", '12\nsunset = "T-1 21:00"', 5, "sunset", "is another day", '"HH:MM"'),
    (E, "per_min = 2", 'per_min = 2\nby = "13:00"', 10, "serve.by", "13:00 is not after", "first"),
    (E, "per_min = 2", 'curve = [["14:00", 5], ["13:00", 9]]', 9, "serve.curve",
     "falls back at 13:00", "later and later"),
    (E, "per_min = 2", 'curve = [["14:00", 9], ["15:00", 5]]', 9, "serve.curve",
     "falls back at 15:00", "more and more"),
    (E, "per_min = 2", 'curve = [["14:00"]]', 9, "serve.curve", "is no point", '["11:30", 60]'),
    (E, "", '[travel]\nload_out = "09:00"\noff_site = "08:00"\n', 12, "travel.off_site",
     "is not after load_out", "first in, then out"),
    (C, '"pit"', '"pit"\nshifts = [["17:00", "09:00"]]', 9, "person.shifts",
     "ends before it starts", "T+1 02:00"),
    (C, '"pit"', '"pit"\nshifts = [["09:00", "17:00"], ["16:00", "18:00"]]', 9,
     "person.shifts", "two shifts at 16:00", "let one end"),
    # what cannot be in this order
    (D, "hands = 1", 'min = "20 min"', 10, "step.ideal", "ideal is shorter than min", "in order"),
    (D, "hands = 1", 'max = "10 min"', 11, "step.max", "max is shorter than ideal", "in order"),
    (D, "hands = 1", 'never_over = "10 min"', 11, "step.never_over",
     "never_over is shorter than ideal", "in order"),
    (D, "hands = 1", 'gap = "9 min"\ngap_max = "2 min"', 12, "step.gap_max",
     "is shorter than gap", "gap_max the most"),
    (D, "hands = 1", 'turns = ["6 min", "3 min"]', 11, "step.turns", "not in order", "start"),
    (D, "hands = 1", 'turns = ["13 min"]', 11, "step.turns", "after the step has ended", "12"),
    (D, "hands = 1", 'checks = [["8 min", "40 C"], ["4 min", "30 C"]]', 11, "step.checks",
     "not in order", "later"),
    (D, "hands = 1", 'checks = [["30 min", "60 C"]]', 11, "step.checks", "has ended", "12 min"),
    (D, "", f"{STEP}day = 0\n{STEP}id = 'x'\nday = -1\n", 20, "step.day",
     "x is days before rest", "in order"),
    (D, "", f"{STEP}before_plates = '10 min'\n{STEP}id = 'x'\nbefore_plates = '1 h'\n", 20,
     "step.before_plates", "x is before rest", "in order"),
    (D, "hands = 1", "day = -1\nbefore_plates = '1 h'", 12, "step.before_plates",
     "on another day", "either"),
    (D, "hands = 1", "keep_above = '63 C'\nkeep_below = '5 C'", 11, "step.keep_above",
     "is above keep_below", "hot and cold"),
    (E, "", "[house]\nhot_min = '5 C'\ncold_max = '8 C'\n", 11, "house.hot_min",
     "is not above cold_max", "hot is hotter"),
    (E, "", "[[weather]]\nfrom = '15:00'\n[[weather]]\nfrom = '14:00'\n", 10, "weather",
     "14:00 is not after 15:00", "in order of time"),
    (E, "", "[[weather]]\nfrom = '15:00'\nwind = '20 km/h'\ngust = '5 km/h'\n", 13,
     "weather.gust", "is less than the wind", "strongest"),
    # doneness needs a thickness, and a fire that can
    (D, "hands = 1", "until_core = '63 C'", 11, "step.until_core", "how thick", "thickness"),
    (D, "hands = 1", "until_core = '63 C'\nstart_temp = '70 C'", 11, "step.until_core",
     "reached before it starts", "above start_temp"),
    (D, '"250 C"', "'60 C'\nuntil_core = '63 C'", 10, "step.until_core",
     "a fire of 60 C never gets it there", "below temp"),
    (D, 'station = "grill"', 'station = "bench"', 9, "step.temp", "bench is no fire", "a fire"),
    (D, 'station = "grill"', "", 9, "step.temp", "no station is no fire", "a fire"),
    # names nobody knows, and names used twice
    (E, '"chops"', '"chop"', 6, "menu.dish", "there is no dish chop", "did you mean chops?"),
    (E, "", '[[menu]]\ndish = "chops"\n', 11, "menu.dish", "on the menu already", "once"),
    (E, "per_min = 2", 'per_min = 2\ndishes = ["salad"]', 10, "serve.dishes",
     "salad is not on the menu", "chops"),
    (K, 'id = "bench"', 'id = "grill"', 7, "station.id", "a station grill already", "own id"),
    (K, 'id = "bench"', 'id = "oven"', 7, "station.id", "name of another kind", "another id"),
    (K, 'kind = "table"', 'kind = "table"\nper_min = 3', 9, "station.per_min",
     "a table serves nobody", "only a lane"),
    (K, 'kind = "table"', 'kind = "table"\nkeep_free = "10 %"', 9, "station.keep_free",
     "no size to keep it free of", "size or places"),
    (K, 'kind = "table"', 'kind = "table"\nload_by = "rack"', 9, "station.load_by",
     "one rack only", "how many racks"),
    (C, 'id = "bo"', 'id = "ana"', 6, "person.id", "there is a ana already", "own id"),
    (C, 'name = "Bo"', 'name = "ANA"', 7, "person.name", "there is a ANA already", "chat"),
    (C, '"pit"', '"pit"\nbackup = "anna"', 9, "person.backup", "no person anna", "mean ana?"),
    (C, '"pit"', '"pit"\nbackup = "bo"', 9, "person.backup", "their own backup", "somebody"),
    (C, '"pit"', '"pit"\nstations = ["gril"]', 9, "person.stations", "no station gril", "grill?"),
    (C, '"chef"', '"chef"\nleads = ["pit"]\n[[person]]\nid = "x"\nleads = ["pit"]', 8,
     "person.leads", "ana leads pit already", "one lead"),
    (D, 'station = "grill"', 'station = "girll"', 8, "step.station", "no station girll", "grill?"),
    (D, "hands = 1", 'hands = 1\nskill = "carving"', 12, "step.skill",
     "nobody has the skill carving", "there is none"),
    (D, "hands = 1", 'hands = 0\nskill = "carving"', 12, "step.skill", "nobody works", "hands = 1"),
    (D, "hands = 1", "shared_by = 2", 11, "step.shared_by", "nobody works", "hands = 1"),
    (D, "hands = 1", "lot = '20 pieces'", 11, "step.lot", "not done in lots", 'per = "lot"'),
    (D, "hands = 1", "per = 'lot'\nlot = '20'", 12, "step.lot", "is not a weight", "1 L"),
    (D, "", "[fits]\nsmoker = 30\n", 13, "fits.smoker", "there is no station smoker", "there is"),
    (D, "", "[fits]\ngrill = '30'\n", 13, "fits.grill", "is not a whole number", "1 to 10000"),
    (D, "", STEP + STEP, 16, "step.do", "there is a step rest already", "its own id"),
    (D, "", f"{STEP}id = 'grill'\n", 15, "step.id", "there is a step grill already", "its own id"),
    # waits that go round in circles, pins that cannot be
    (D, 'name = "pork chop"', 'card = "chops"', 4, "ingredient.card",
     "chops is itself made from chops", "wait for itself"),
    (D, 'name = "pork chop"', 'card = "brine"', 4, "ingredient.card", "no dish brine", "chops"),
    (D, "", f"{STEP}instead_of = 'rest'\n", 15, "step.instead_of", "stand in for itself", ""),
    (D, "", f"{STEP}instead_of = 'gril'\n", 15, "step.instead_of", "no step gril", "mean grill?"),
    (D, "", f"{STEP}instead_of = 'smoke'\n{SMOKE}instead_of = 'rest'\n", 15, "step.instead_of",
     "smoke is itself another way", "usual way"),
    (E, "", "[[pin]]\ndish = 'chops'\nload = 'L1'\n", 10, "pin", "insists on nothing", "start"),
    (E, "", "[[pin]]\ndish = 'chops'\nstart = '13:00'\n", 12, "pin.start", "which step", "step"),
    (E, "", "[[pin]]\ndish = 'chops'\nname = 'A'\n", 12, "pin.name", "which load", "L1"),
    (E, "", "[[pin]]\ndish = 'chops'\nload = 'A'\ncount = 5\n", 12, "pin.load", "no load", "L1"),
    (E, "", "[[pin]]\ndish = 'chop'\nload = 'L1'\nname = 'A'\n", 11, "pin.dish", "no dish", ""),
    (E, "", "[[pin]]\ndish = 'chops'\nstep = 'gril'\nstart = '13:00'\n", 12, "pin.step",
     "chops has no step gril", "did you mean grill?"),
    (E, "", "[[pin]]\ndish = 'chops'\nstation = 'P1'\n", 12, "pin.station", "no station P1", ""),
    # amounts that contradict each other
    (E, "per_min = 2", "per_min = 2\nat_once = true", 10, "serve.at_once", "beside per_min", "one"),
    (E, '"chops"', '"chops"\nheads = 5\nshare = "40 %"', 8, "menu.share", "beside heads", "either"),
    (E, '"chops"', '"chops"\nheads = 13', 7, "menu.heads", "13 of 12 guests", "at most"),
    (E, '"chops"', '"chops"\nheads = 9\nmake = 8', 8, "menu.make", "8 portions for 9", "as many"),
    (E, '"chops"', '"chops"\nmake = 9\nspare = "5 %"', 8, "menu.spare", "beside make", "make"),
    (E, "12", "12\nslack = '5 min'\nslack_per_hour = '5 min'", 6, "slack_per_hour",
     "beside slack", "one lump"),
    (E, "", "[[guest]]\nneeds = 'old'\nheads = 13\n", 10, "guest", "more of them than heads", ""),
    (D, 'portion = "2 pieces"', 'portion = "5 pieces"', 2, "portion", "more than the whole", ""),
    (D, 'portion = "2 pieces"', 'portion = "150 g"', 2, "portion", "in pieces and by weight", ""),
    (D, 'portion = "2 pieces"', 'portion = "1 portion"', 2, "portion", "not made of", "162 g"),
    (D, 'qty = "4 pieces"', 'qty = "4 pieces"\nparts = 2', 5, "ingredient.qty", "beside", "either"),
    (D, 'qty = "4 pieces"', 'qty = "4 pieces"\ntrim = "100 %"', 6, "ingredient.trim",
     "out of range", "0 to 99 %"),
    (D, 'qty = "4 pieces"', 'qty = "4 pieces"\npacks = [["5 kg", "30"]]', 6, "ingredient.packs",
     "a pack in kg of what is in pieces", "same unit"),
    (D, 'qty = "4 pieces"', 'qty = "4 pieces"\npacks = [["5 pieces", 30]]', 6,
     "ingredient.packs", "30 is no price", "86.40"),
    (D, 'qty = "4 pieces"', 'qty = "4 pieces"\nallergens = ["milk"]\nmay_contain = ["milk"]', 7,
     "ingredient.may_contain", "milk is in allergens already", "once"),
    (D, "", "[hold]\nmin_temp = '63 C'\nsafety = 'cold'\n", 13, "hold.min_temp", "held cold", ""),
    # no TOML at all
    (E, "heads = 12", "heads 12", 4, "", "this is not TOML", 'key = "value"'),
    (E, '"lunch"', '"lunch', 1, "", "this is not TOML", 'key = "value"'),
    (E, "heads = 12", "heads = 12\nheads = 13", 5, "", "this is not TOML", ""),
    (E, "heads = 12", "heads = " + "[" * 5000, 10, "", "this is not TOML: too deep", ""),
    (E, "12", "9" * 5000, 10, "", "this is not TOML", ""),
    (K, "[[station]]", "[station", 1, "", "this is not TOML", "[name]"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "old", "new", "line", "key", "what", "right"), BAD)
def test_a_malformed_card_is_told_with_its_place(
    tmp_path: Path, file: str, old: str, new: str, line: int, key: str, what: str, right: str
) -> None:
    folder(tmp_path, changed(file, old, new))
    told = [(e.file, e.line, e.key, e.what, e.right) for e in check(tmp_path)]
    fits = [
        (f, n, k)
        for f, n, k, w, r in told
        if what in w and right in r and k == key and n == line and f.endswith(file)
    ]
    assert fits, told


@pytest.mark.parametrize("case", BAD, ids=lambda case: f"{case[0]}-{case[3]}-{case[4]}")
def test_a_mistake_is_one_line_and_not_repeated(
    tmp_path: Path, case: tuple[str, str, str, int, str, str, str]
) -> None:
    errors = check(folder(tmp_path, changed(*case[:3])))
    assert len(set(errors)) == len(errors)
    assert len(errors) <= 3  # one slip is not drowned in what follows from it
    for error in errors:
        assert "\n" not in str(error)
        assert len(str(error)) < 600


def test_the_table_of_bad_cards_is_long_enough() -> None:
    assert len(BAD) >= 60


def test_all_mistakes_come_at_once_and_in_the_order_of_the_files(tmp_path: Path) -> None:
    texts = {**changed("event.toml", "heads = 12", "head = 0\nheads = 0")}
    texts["kit.toml"] = changed("kit.toml", '"40 min"', '"40 C"')["kit.toml"]
    texts["dishes/chops.toml"] = changed(D, '"12 min"', '"12"')[D]
    with pytest.raises(CardsError) as caught:
        read_event(folder(tmp_path, texts))
    places = [(Path(e.file).name, e.line) for e in caught.value.errors]
    assert places == [("chops.toml", 10), ("event.toml", 4), ("event.toml", 5), ("kit.toml", 5)]


def test_an_error_reads_as_file_line_key_what_and_right() -> None:
    error = CardError("event.toml", 4, "heads", "0 is out of range", "a whole number from 1")
    assert str(error) == "event.toml:4: heads: 0 is out of range; a whole number from 1"
    assert str(CardError("kit.toml", 1, "", "there is no station")) == (
        "kit.toml:1: there is no station"
    )


def test_cards_in_error_are_a_kitchen_error_that_shows_the_first(tmp_path: Path) -> None:
    with pytest.raises(KitchenError) as caught:
        read_event(folder(tmp_path, changed("event.toml", "12", "0")))
    assert str(caught.value).endswith(
        "event.toml:4: heads: 0 is out of range; "
        "a whole number from 1 to 20000, without quotation marks"
    )


# ------------------------------------------------------------------ clocks


def test_a_time_the_clocks_skip_is_refused_wherever_it_stands(tmp_path: Path) -> None:
    texts = changed("event.toml", "2026-06-13", "2026-03-29")  # Madrid springs forward at 02:00
    crew = changed("crew.toml", '"pit"', '"pit"\nshifts = [["02:30", "10:00"]]')
    texts["crew.toml"] = crew["crew.toml"]
    errors = check(folder(tmp_path, texts))
    assert [(Path(e.file).name, e.line, e.key) for e in errors] == [
        ("crew.toml", 9, "person.shifts")
    ]
    assert "02:30 does not exist on 2026-03-29 in Europe/Madrid" in errors[0].what


def test_a_time_that_comes_twice_in_autumn_is_taken(tmp_path: Path) -> None:
    texts = changed("event.toml", "2026-06-13", "2026-10-25")
    crew = changed("crew.toml", '"pit"', '"pit"\nshifts = [["02:30", "10:00"]]')
    texts["crew.toml"] = crew["crew.toml"]
    assert check(folder(tmp_path, texts)) == ()


# ------------------------------------------------------------------ circles through several cards


def test_three_cards_that_wait_for_each_other_are_all_told(tmp_path: Path) -> None:
    texts = dict(SHORTEST)
    for one, other in (("chops", "brine"), ("brine", "salt"), ("salt", "chops")):
        texts[f"dishes/{one}.toml"] = SHORTEST[D].replace('name = "pork chop"', f'card = "{other}"')
    errors = check(folder(tmp_path, texts))
    assert [(Path(e.file).stem, e.line, e.key) for e in errors] == [
        ("brine", 4, "ingredient.card"),
        ("chops", 4, "ingredient.card"),
        ("salt", 4, "ingredient.card"),
    ]


def test_a_step_pinned_before_the_one_it_follows_is_told(tmp_path: Path) -> None:
    pins = "".join(
        f"[[pin]]\ndish = 'chops'\nload = 'L1'\nstep = '{step}'\nstart = '{start}'\n"
        for step, start in (("grill", "13:40"), ("rest", "13:30"))
    )
    texts = changed("event.toml", "", pins)
    texts[D] = changed(D, "", STEP)[D]
    errors = check(folder(tmp_path, texts))
    assert [(e.line, e.what) for e in errors] == [(19, "rest is pinned before grill")]


def test_two_dishes_may_not_share_an_id(tmp_path: Path) -> None:
    texts = {**SHORTEST, "dishes/steak.toml": 'id = "chops"\n' + SHORTEST[D]}
    errors = check(folder(tmp_path, texts))
    assert [(Path(e.file).name, e.key) for e in errors] == [("steak.toml", "id")]


# ------------------------------------------------------------------ files


@pytest.mark.parametrize("name", ["event.toml", "kit.toml", "crew.toml"])
def test_a_missing_file_is_told(tmp_path: Path, name: str) -> None:
    (folder(tmp_path) / name).unlink()
    assert [(Path(e.file).name, e.what) for e in check(tmp_path)] == [
        (name, "there is no such file")
    ]


def test_mistakes_in_the_other_files_are_told_even_when_one_is_missing(tmp_path: Path) -> None:
    (folder(tmp_path, changed("crew.toml", '"pit"', '"cook"')) / "event.toml").unlink()
    assert [Path(e.file).name for e in check(tmp_path)] == ["crew.toml", "event.toml"]


def test_an_event_without_dishes_is_told(tmp_path: Path) -> None:
    (folder(tmp_path) / D).unlink()
    assert any(e.what == "there is no dish" for e in check(tmp_path))
    (tmp_path / "dishes").rmdir()
    assert any(e.what == "there is no such folder" for e in check(tmp_path))


def test_a_file_over_a_mebibyte_is_refused(tmp_path: Path) -> None:
    folder(tmp_path, changed("event.toml", "", "# " + "x" * 1024 * 1024))
    assert [(e.what, Path(e.file).name) for e in check(tmp_path)] == [
        ("is larger than 1 MiB", "event.toml")
    ]


def test_a_file_of_a_mebibyte_is_read(tmp_path: Path) -> None:
    padding = "#" * (1024 * 1024 - len(EVENT.encode()))
    assert check(folder(tmp_path, changed("event.toml", "", padding))) == ()


def test_a_file_that_is_not_utf8_is_refused_with_its_line(tmp_path: Path) -> None:
    (folder(tmp_path) / "event.toml").write_bytes(b'id = "x"\nname = "caf\xe9"\n')
    assert [(e.line, e.what) for e in check(tmp_path)] == [(2, "is not UTF-8 text")]


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    secret = tmp_path / "secret.toml"
    secret.write_text(EVENT)
    event = folder(tmp_path / "event")
    (event / "event.toml").unlink()
    (event / "event.toml").symlink_to(secret)
    assert [e.what for e in check(event)] == ["is a link to elsewhere"]
    with pytest.raises(CardsError):
        read_texts(event)


def test_a_dishes_folder_that_is_a_link_is_refused(tmp_path: Path) -> None:
    event = folder(tmp_path / "event")
    (event / "dishes").rename(tmp_path / "elsewhere")
    (event / "dishes").symlink_to(tmp_path / "elsewhere")
    assert [e.what for e in check(event)] == ["there is no such folder"]


def test_a_pipe_or_folder_named_like_a_card_is_refused(tmp_path: Path) -> None:
    event = folder(tmp_path)
    os.mkfifo(event / "dishes" / "pipe.toml")
    (event / "dishes" / "folder.toml").mkdir()
    assert [e.what for e in check(event)] == ["is not a file", "is not a file"]


def test_a_path_that_is_not_there_is_told(tmp_path: Path) -> None:
    assert [e.what for e in check(tmp_path / "nowhere")] == ["there is no such file"]
    assert [e.what for e in check(tmp_path / "no.toml")] == ["there is no such file"]
    with pytest.raises(CardsError):
        read_event(tmp_path / "nowhere")
    with pytest.raises(CardsError):
        read_dish(tmp_path / "no.toml")


def test_a_text_that_is_no_card_is_told(tmp_path: Path) -> None:
    (tmp_path / "day.txt").write_text("07:45 Eli: box 3 6.5\n")
    assert [e.what for e in check(tmp_path / "day.txt")] == ["is not a card"]

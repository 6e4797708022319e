"""Units against printed conversion tables and a second library; what is no quantity is refused."""

from __future__ import annotations

import pytest
import scipy.constants
from hypothesis import given, settings
from hypothesis import strategies as st

from core import units
from core.errors import KitchenError, OutOfRangeError, UnitError
from tests.published import published

plain = st.floats(min_value=0.001, max_value=9999, allow_nan=False).map(lambda x: round(x, 3))


# ------------------------------------------------------------------ against the outside


@published("NIST Handbook 44, Appendix C, section 4: avoirdupois pound and ounce, exact")
@pytest.mark.parametrize(
    ("text", "kg"), [("1 lb", 0.45359237), ("1 oz", 0.028349523125), ("1 t", 1000.0)]
)
def test_weights_match_the_printed_equivalents(text: str, kg: float) -> None:
    assert units.mass_kg(text) == pytest.approx(kg, rel=1e-12)


@published("NIST Handbook 44, Appendix C, section 4: units of capacity or volume, liquid measure")
@pytest.mark.parametrize(
    ("text", "ml", "half_digit"),
    [
        ("1 gal", 3785.411784, 5e-7),
        ("1 qt", 946.352946, 5e-7),
        ("1 pt", 473.176473, 5e-7),
        ("1 fl oz", 29.57353, 5e-6),
        ("1 imperial gal", 4546.0, 0.5),
    ],
)
def test_us_and_imperial_volumes_match_the_printed_equivalents(
    text: str, ml: float, half_digit: float
) -> None:
    assert units.volume_l(text) * 1000 == pytest.approx(ml, abs=half_digit)


@published("NIST SP 430, Household Weights and Measures, table 1: 16 tbsp = 1 cup = 8 fl oz")
@pytest.mark.parametrize(
    ("many", "one"),
    [("16 tbsp", "1 cup"), ("8 fl oz", "1 cup"), ("3 tsp", "1 tbsp"), ("4 cups", "1 qt")],
)
def test_household_measures_make_up_each_other(many: str, one: str) -> None:
    assert units.volume_l(many) == pytest.approx(units.volume_l(one), rel=1e-11)


@published("UK Weights and Measures Act 1985, Schedule 1: gallon 4.546 09 L, 8 pints, 160 fl oz")
def test_the_imperial_gallon_is_not_the_us_one() -> None:
    assert units.volume_l("1 imperial gal") == pytest.approx(4.54609, rel=1e-12)
    assert units.volume_l("8 imperial pt") == pytest.approx(4.54609, rel=1e-11)
    assert units.volume_l("160 imperial fl oz") == pytest.approx(4.54609, rel=1e-11)
    assert units.volume_l("1 gal") == pytest.approx(3.785411784, rel=1e-12)
    assert units.volume_l("1 gal", imperial=True) == pytest.approx(4.54609, rel=1e-12)
    assert units.volume_l("1 L", imperial=True) == 1.0


@published("scipy.constants (CODATA and exact legal definitions)")
@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        (units.mass_kg("1 lb"), scipy.constants.pound),
        (units.mass_kg("1 oz"), scipy.constants.ounce),
        (units.mass_kg("1 st"), scipy.constants.stone),
        (units.volume_l("1 gal") / 1000, scipy.constants.gallon_US),
        (units.volume_l("1 imperial gal") / 1000, scipy.constants.gallon_imp),
        (units.volume_l("1 fl oz") / 1000, scipy.constants.fluid_ounce_US),
        (units.volume_l("1 imperial fl oz") / 1000, scipy.constants.fluid_ounce_imp),
        (units.length_cm("1 in") / 100, scipy.constants.inch),
        (units.length_cm("1 ft") / 100, scipy.constants.foot),
        (units.minutes("1 h") * 60, scipy.constants.hour),
        (units.minutes("1 day") * 60, scipy.constants.day),
        (units.speed_kmh("1 mph") / 3.6, scipy.constants.mph),
        (units.speed_kmh("1 kn") / 3.6, scipy.constants.knot),
        (units.power_kw("1 BTU/h") * 1000, scipy.constants.Btu_IT / scipy.constants.hour),
    ],
)
def test_units_agree_with_a_second_library(ours: float, theirs: float) -> None:
    assert ours == pytest.approx(theirs, rel=1e-10)


@published("scipy.constants.convert_temperature")
@settings(deadline=None)  # the first conversion imports pint
@given(st.floats(min_value=-40, max_value=700).map(lambda x: round(x, 1)))
def test_fahrenheit_agrees_with_a_second_library(degrees: float) -> None:
    theirs = float(scipy.constants.convert_temperature(degrees, "Fahrenheit", "Celsius"))
    assert units.celsius(f"{degrees} F") == pytest.approx(theirs, abs=1e-9)


@published("US FDA Food Code 2022: 135 °F (57 °C), 41 °F (5 °C), 165 °F (74 °C)")
@pytest.mark.parametrize(("text", "celsius"), [("135 F", 57), ("41 F", 5), ("165 F", 74)])
def test_the_limits_of_the_food_code_come_out_as_it_prints_them(text: str, celsius: int) -> None:
    assert round(units.celsius(text)) == celsius


# ------------------------------------------------------------------ properties


@settings(deadline=None)  # the first conversion imports pint
@given(plain)
def test_a_pound_is_sixteen_ounces_whatever_the_number(value: float) -> None:
    assert units.mass_kg(f"{value * 16:.6f} oz") == pytest.approx(
        units.mass_kg(f"{value:.6f} lb"), rel=1e-4, abs=1e-7
    )


@settings(deadline=None)  # the first conversion imports pint
@given(plain)
def test_kilograms_come_back_as_they_went_in(value: float) -> None:
    assert units.mass_kg(f"{value} kg") == value
    assert units.mass_kg(f"{value * 1000:.6f} g") == pytest.approx(value, rel=1e-9, abs=1e-9)


@settings(deadline=None)  # the first conversion imports pint
@given(plain)
def test_a_decimal_comma_is_a_decimal_point(value: float) -> None:
    text = f"{value:.2f}"
    assert units.volume_l(f"{text.replace('.', ',')} L") == units.volume_l(f"{text} L")


@settings(deadline=None)  # the first conversion imports pint
@given(st.integers(0, 300), st.integers(0, 59))
def test_hours_and_minutes_add_up(hours: int, minutes: int) -> None:
    by_hand = hours * 60 + minutes  # by hand
    assert units.minutes(f"{hours} h {minutes} min") == by_hand
    assert units.minutes(f"{hours}h{minutes:02}") == by_hand


@settings(deadline=None)  # the first conversion imports pint
@given(st.text(max_size=80))
def test_any_text_is_a_quantity_or_a_kitchen_error(text: str) -> None:
    for reader in (units.mass_kg, units.minutes, units.celsius, units.rectangle_cm, units.amount):
        try:
            reader(text)
        except KitchenError:
            continue


# ------------------------------------------------------------------ what the crew writes


@pytest.mark.parametrize(
    ("text", "minutes"),  # by hand
    [
        ("90 min", 90),
        ("1 h 30 min", 90),
        ("1h30", 90),
        ("1 hora 30 minutos", 90),
        ("2.5 min", 2.5),
        ("2,5 min", 2.5),
        ("25 s", 25 / 60),
        ("2 días", 2880),
        ("1 day 2 h", 1560),
        ("0 min", 0),
    ],
)
def test_lengths_of_time_are_read_as_written(text: str, minutes: float) -> None:
    assert units.minutes(text) == pytest.approx(minutes, rel=1e-11)


def test_a_difference_has_no_offset() -> None:
    assert units.kelvins("18 F") == 10.0  # by hand: 18 / 1.8
    assert units.celsius("18 F") == pytest.approx(-7.7778, abs=5e-5)  # by hand: (18 - 32) / 1.8


def test_a_size_is_two_sides_and_one_unit() -> None:
    assert units.rectangle_cm("200 x 70 cm") == (200.0, 70.0)
    assert units.rectangle_cm("1,10 × 0,55 m") == (110.0, 55.0)


@pytest.mark.parametrize("text", ["110 °C", "110C", "110 ºC", "110 c", " 110  C "])
def test_degrees_may_be_written_every_usual_way(text: str) -> None:
    assert units.celsius(text) == 110.0


def test_an_amount_says_what_it_is_measured_in() -> None:
    assert units.amount("6 pieces") == (6.0, "pieces")
    assert units.amount("8 raciones") == (8.0, "portions")
    assert units.amount("2 lb") == (0.90718474, "kg")  # by hand: 2 x 0.45359237


# ------------------------------------------------------------------ what is refused


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (units.mass_kg, "1.9"),
        (units.mass_kg, "1.9 min"),
        (units.mass_kg, "kg"),
        (units.mass_kg, ""),
        (units.mass_kg, "1,200 g"),
        (units.mass_kg, "1.2.3 kg"),
        (units.mass_kg, "inf kg"),
        (units.mass_kg, "9" * 400 + " kg"),
        (units.volume_l, "1 imperial cup"),
        (units.volume_l, "1 kg"),
        (units.celsius, "110"),
        (units.celsius, "110 K"),
        (units.minutes, "1:30"),
        (units.minutes, "90"),
        (units.minutes, "90 kg"),
        (units.minutes, "1 h -30 min"),
        (units.minutes, "ten min"),
        (units.rectangle_cm, "200 cm"),
        (units.rectangle_cm, "200 x 70"),
        (units.rectangle_cm, "200 cm x 70 cm"),
        (units.fraction, "0.08"),
        (units.fraction, "8"),
        (units.speed_kmh, "20 km"),
        (units.per_minute, "6"),
        (units.amount, "4 plates"),
    ],
)
def test_what_is_no_such_quantity_is_refused(reader: object, text: str) -> None:
    assert callable(reader)
    with pytest.raises(UnitError):
        reader(text)


@pytest.mark.parametrize(
    ("reader", "text"),
    [
        (units.mass_kg, "-1 kg"),
        (units.volume_l, "-1 L"),
        (units.minutes, "-5 min"),
        (units.minutes, "40 days"),
        (units.fraction, "-8 %"),
        (units.celsius, "-300 C"),
        (units.rectangle_cm, "0 x 70 cm"),
        (units.amount, "-4 pieces"),
    ],
)
def test_what_cannot_be_is_refused(reader: object, text: str) -> None:
    assert callable(reader)
    with pytest.raises(OutOfRangeError):
        reader(text)

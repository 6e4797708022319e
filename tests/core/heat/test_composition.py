import pytest

from core.errors import OutOfRangeError
from core.heat.composition import Mix, component, food, ice_fraction, meat, mixed
from core.tables.heat import heat_row, heat_rows, heat_table
from tests.published import published


@published("Choi & Okos 1986, specific heat of water 0 to 150 °C")
def test_specific_heat_of_water_at_60() -> None:
    assert component("water", "cp", 60.0) == pytest.approx(4190.5, abs=1.0)


@published("ASHRAE Handbook - Refrigeration, lamb worked example (composition from memory)")
def test_specific_heat_of_lamb_at_5() -> None:
    lamb = Mix(water=0.7342, protein=0.2029, fat=0.0525, ash=0.0106)
    assert mixed(lamb, 5.0).cp == pytest.approx(3590.0, abs=3.0)


@published("ASHRAE Handbook - Refrigeration, the water constant of later printings: 3.56 kJ/(kg K)")
def test_the_later_water_constant_would_give_the_lamb_example_as_printed() -> None:
    lamb = Mix(water=0.7342, protein=0.2029, fat=0.0525, ash=0.0106)
    assert mixed(lamb, 5.0).cp - 0.7342 * (4176.2 - 4128.9) == pytest.approx(3555.0, abs=3.0)


@published("ASHRAE Handbook - Refrigeration, unfrozen foods: specific heat above freezing")
@pytest.mark.parametrize(
    ("name", "kj"),
    [
        ("beef carcass", 3.24),
        ("beef sirloin", 3.53),
        ("beef brisket", 3.19),
        ("pork shoulder", 3.59),
        ("turkey", 3.53),
        ("lamb", 3.60),
        ("cabbage", 4.02),
    ],
)
def test_specific_heat_matches_the_handbook_table(name: str, kj: float) -> None:
    # 60 J/(kg K): the compositions are rounded and from memory
    assert mixed(food(name), 5.0).cp == pytest.approx(kj * 1000, abs=60.0)


@published("ASHRAE Handbook - Refrigeration, thermal diffusivity of foods, 1e-7 m²/s")
@pytest.mark.parametrize(
    ("water", "fat", "at_c", "alpha"),
    [
        (0.66, 0.16, 52.5, 1.23),  # beef chuck, 40 to 65 °C
        (0.68, 0.13, 52.5, 1.32),  # beef tongue, 40 to 65 °C
        (0.76, 0.01, 52.5, 1.47),  # halibut, 40 to 65 °C
    ],
)
def test_diffusivity_is_within_a_tenth_of_the_published(
    water: float, fat: float, at_c: float, alpha: float
) -> None:
    ash = 0.02
    mix = Mix(water=water, protein=1 - water - fat - ash, fat=fat, ash=ash)
    # water is published, fat from memory: a tenth is what the notes of the table allow
    assert mixed(mix, at_c).alpha * 1e7 == pytest.approx(alpha, abs=0.12)


@published("ASHRAE Handbook - Refrigeration, thermal diffusivity of smoked ham at 5 °C: 1.18")
def test_diffusivity_of_smoked_ham() -> None:
    ham = Mix(water=0.64, protein=0.19, fat=0.14, ash=0.03)  # all but the water from memory
    assert mixed(ham, 5.0).alpha * 1e7 == pytest.approx(1.18, abs=0.12)


@published("ASHRAE Handbook - Refrigeration, thermal diffusivity: ham 1.18, corned beef 1.32")
def test_diffusivity_of_cured_meat_is_near_the_mean_of_the_published_pair() -> None:
    # the same water and temperature differ by 0.14 in the table itself
    cured = Mix(water=0.645, protein=0.185, fat=0.14, ash=0.03)
    assert mixed(cured, 5.0).alpha * 1e7 == pytest.approx(1.25, abs=0.13)


@published("Sweat 1973, chicken breast k = 0.476 + 0.0006 T")
def test_conductivity_of_lean_meat_is_near_the_measured() -> None:
    assert mixed(meat(0.01), 40.0).k == pytest.approx(0.476 + 0.0006 * 40, rel=0.08)


@published("Pan & Singh 2001, ground beef of 23.8 % fat: k 0.35 to 0.41, density 1006 to 1033")
def test_ground_beef_lies_in_the_measured_range() -> None:
    beef = mixed(meat(0.238), 30.0)
    assert 0.35 <= beef.k <= 0.42
    assert 1000 <= beef.rho <= 1040


def test_no_ice_above_the_freezing_point() -> None:
    assert ice_fraction(food("lamb"), 0.0, -1.9) == 0.0


def test_fat_beyond_what_meat_has_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        meat(0.8)


def test_a_temperature_outside_the_polynomials_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        mixed(meat(0.1), 180.0)


def test_every_row_of_the_composition_file_names_its_source_and_status() -> None:
    titles = heat_table("composition")["sources"]
    for section in ("component", "food"):
        for row in heat_rows("composition", section):
            assert row["source"] in titles
            assert row["status"] in {"C", "C2", "M"}


def test_an_unknown_row_is_our_bug() -> None:
    with pytest.raises(KeyError):
        heat_row("composition", "food", "cloud")

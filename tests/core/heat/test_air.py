import numpy as np
import pytest

from core.errors import OutOfRangeError
from core.heat.air import boiling_c, humidity_ratio, saturation_pa, vapour_density, wet_bulb_c
from tests.published import published


@published("ASHRAE Handbook - Fundamentals, psychrometrics (values by its equations)")
@pytest.mark.parametrize(("air", "relative", "wet"), [(20.0, 0.5, 13.78), (35.0, 0.4, 23.93)])
def test_wet_bulb_of_room_air(air: float, relative: float, wet: float) -> None:
    assert wet_bulb_c(air, humidity_ratio(air, relative)) == pytest.approx(wet, abs=0.15)


@published("ASHRAE Handbook - Fundamentals, psychrometrics (values by its equations)")
@pytest.mark.parametrize(("pit", "wet"), [(121.0, 41.8), (135.0, 43.5)])
def test_wet_bulb_in_a_pit_is_far_below_the_plateau(pit: float, wet: float) -> None:
    assert wet_bulb_c(pit, 0.02) == pytest.approx(wet, abs=0.3)


@published("Steam tables: 0.6113 kPa at 0.01 °C, 19.94 kPa at 60 °C, 101.4 kPa at 100 °C")
@pytest.mark.parametrize(("at_c", "kpa"), [(0.01, 0.6113), (60.0, 19.94), (100.0, 101.4)])
def test_saturation_pressure(at_c: float, kpa: float) -> None:
    assert saturation_pa(at_c) == pytest.approx(kpa * 1000, rel=0.001)


@published("Steam tables: specific volume of saturated vapour 19.523, 7.671, 1.673 m³/kg")
@pytest.mark.parametrize(("at_c", "volume"), [(40.0, 19.523), (60.0, 7.671), (100.0, 1.673)])
def test_vapour_density(at_c: float, volume: float) -> None:
    density, _ = vapour_density(np.array([at_c]))
    assert density[0] == pytest.approx(1 / volume, rel=0.02)  # an ideal gas above water


def test_the_slope_of_vapour_density_is_its_derivative() -> None:
    at = np.array([20.0, 60.0, 95.0])
    _, slope = vapour_density(at)
    up, _ = vapour_density(at + 0.01)
    down, _ = vapour_density(at - 0.01)
    assert slope == pytest.approx((up - down) / 0.02, rel=1e-4)


# common practice: water boils at 95 °C at 1,500 m
def test_water_boils_lower_on_the_mountain() -> None:
    assert boiling_c(1500) == pytest.approx(95.0, abs=0.5)


def test_an_altitude_above_any_kitchen_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        boiling_c(9000)

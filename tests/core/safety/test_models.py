"""Death and growth models against printed curves; they warn and never clear."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from core.errors import OutOfRangeError
from core.model import Verdict
from core.safety.degrees import Degrees
from core.safety.growth import growth_log10, growth_models, growth_warning
from core.safety.heat_met import CoreLog
from core.safety.lethality import (
    DeathModel,
    come_up_min,
    come_up_warning,
    cumulative_min,
    death_models,
    logs,
)
from tests.published import published

PATTY = DeathModel("Salmonella", "meat patty", (150 - 32) / 1.8, 10 / 1.8, 0.172)
CORE_F = [40, 64, 82, 97, 113, 128, 138, 142, 145, 148, 145, 140, 137, 136, 135, 134]
PRINTED = [0, 0, 0, 0, 0, 0.002, 0.019, 0.074, 0.193, 0.430, 0.667, 0.771, 0.808, 0.831, 0.849,
           0.863]  # fmt: skip
CORE_C = [(f - 32) / 1.8 for f in CORE_F]
TIMES = [0.5 * i for i in range(len(CORE_F))]


@published("AMI Foundation process-lethality worked example, cumulative F to three decimals")
def test_the_lethality_curve_is_the_printed_one() -> None:
    found = cumulative_min(TIMES, CORE_C, PATTY)
    assert [round(f, 3) for f in found] == pytest.approx(PRINTED, abs=5e-4)


@published("AMI Foundation worked example at 7.5 min: 5.02 log")
def test_it_comes_to_5_02_logs() -> None:
    assert logs(TIMES, CORE_C, PATTY) == pytest.approx(5.02, abs=0.005)


@published("Scott & Weddig 1998: D 0.172 min at 150 °F, z 10 °F")
def test_the_packaged_model_is_the_published_one() -> None:
    first = death_models()[0]
    assert (first.organism, first.d_min) == ("Salmonella", 0.172)
    assert first.tref_c == pytest.approx(65.556, abs=5e-4)
    assert first.z_k == pytest.approx(5.556, abs=5e-4)


def test_ten_fahrenheit_more_is_ten_times_the_rate() -> None:
    slow = logs([0, 1], [PATTY.tref_c - PATTY.z_k] * 2, PATTY)
    assert logs([0, 1], [PATTY.tref_c] * 2, PATTY) == pytest.approx(10 * slow)


def test_below_the_floor_nothing_is_collected() -> None:
    assert cumulative_min([0, 10], [54.0, 54.0], PATTY, floor_c=54.4)[-1] == 0.0


@pytest.mark.parametrize(("times", "cores"), [([0, 1, 0.5], [60, 60, 60]), ([0, 1], [60])])
def test_times_out_of_order_are_refused(times: list[float], cores: list[float]) -> None:
    with pytest.raises(OutOfRangeError):
        cumulative_min(times, cores, PATTY)


# ------------------------------------------------------------------ come-up

START = datetime(2026, 6, 13, 6, tzinfo=UTC)


def log(*points: tuple[float, float]) -> CoreLog:
    """Return a core log of (hours, °C)."""
    return CoreLog(tuple((START + timedelta(hours=h), Degrees(c)) for h, c in points))


@published("FSIS 2017/2021, come-up 50 to 130 °F within 6 h: from memory, so it only warns")
def test_a_come_up_over_six_hours_takes_credit_away() -> None:
    slow, quick = log((0, 10), (6.5, 54.4)), log((0, 10), (6, 54.4))
    found = come_up_warning(slow)
    assert found is not None
    assert found.verdict is Verdict.UNKNOWN
    assert come_up_warning(quick) is None
    assert come_up_min(log((0, 20), (2, 60))) is None


# ------------------------------------------------------------------ growth


@published("Rosso 1993 with the published cardinal temperatures: 30 °C 2.43 and 3.03 ln/h")
@pytest.mark.parametrize(("model", "c", "rate"), [(0, 30, 2.43), (1, 30, 3.03), (0, 40, 4.91),
                                                  (1, 40, 5.35)])  # fmt: skip
def test_growth_rates(model: int, c: float, rate: float) -> None:
    assert growth_models()[model].rate(c) == pytest.approx(rate, abs=0.005)


def test_it_is_fastest_at_its_optimum_and_still_outside() -> None:
    for model in growth_models():
        assert model.rate(model.topt_c) == pytest.approx(model.mu_opt)
        assert model.rate(model.tmin_c) == model.rate(model.tmax_c) == 0.0


F_135, F_70, F_41, F_120, F_80, F_40, F_130 = (
    (f - 32) / 1.8 for f in (135, 70, 41, 120, 80, 40, 130)
)


@published("computed schedules of the reference note: Food Code legs 0.88 beef, 0.67 chicken")
def test_the_food_code_legs_stay_under_one_log() -> None:
    chicken, beef = growth_models()
    assert growth_log10([0, 2, 6], [F_135, F_70, F_41], beef) == pytest.approx(0.88, abs=0.02)
    assert growth_log10([0, 2, 6], [F_135, F_70, F_41], chicken) == pytest.approx(0.67, abs=0.02)


@published("Glass et al.: 120 to 80 °F in 3 h was not controlled; the model says 5.33 log")
def test_a_slow_first_stage_warns_and_never_condemns() -> None:
    found = growth_warning([0, 0.25, 3.25, 8.25], [F_130, F_120, F_80, F_40])
    assert found is not None
    assert found.verdict is Verdict.UNKNOWN
    assert found.status == "M"


def test_a_good_cooling_warns_of_nothing() -> None:
    assert growth_warning([0, 0.5, 1.5], [57.0, 21.0, 4.0]) is None
    assert growth_warning([0], [57.0]) is None

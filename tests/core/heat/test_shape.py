import numpy as np
import pytest
from scipy.optimize import brentq

from core.errors import OutOfRangeError
from core.heat.shape import brick_beta, piece_beta, ratios, round_beta
from core.model import Piece, Size
from tests.core.heat.series import theta
from tests.published import published


@published("Baldwin 2012, Sous vide cooking: shapes as exponents 0.28 and 1.25 (from memory)")
@pytest.mark.parametrize(("a", "b", "beta"), [(2 / 3, 2 / 5, 0.29), (1.0, 1.0, 1.25)])
def test_bricks_at_biot_8(a: float, b: float, beta: float) -> None:
    assert brick_beta(a, b, 8.0) == pytest.approx(beta, abs=0.03)


@published("Product solutions of transient conduction, Carslaw & Jaeger 1.15, computed at Biot 2")
@pytest.mark.parametrize(
    ("form", "ratio", "beta"),
    [("disc", 1 / 2, 0.40), ("disc", 1 / 3, 0.11), ("rod", 1 / 1.5, 1.22), ("rod", 1 / 2, 1.08)],
)
def test_discs_and_rods_at_biot_2(form: str, ratio: float, beta: float) -> None:
    assert round_beta(form, ratio, 2.0) == pytest.approx(beta, abs=0.03)


@published("Product solutions of transient conduction, Carslaw & Jaeger 1.15, computed at Biot 2")
@pytest.mark.parametrize(
    ("a", "b", "beta"), [(2 / 3, 2 / 5, 0.40), (1, 0.5, 0.86), (1 / 3, 1 / 3, 0.07)]
)
def test_bricks_at_biot_2(a: float, b: float, beta: float) -> None:
    assert brick_beta(a, b, 2.0) == pytest.approx(beta, abs=0.03)


@published("Product solutions of transient conduction, Carslaw & Jaeger 1.15")
@pytest.mark.parametrize(("ratio", "biot"), [(0.5, 0.5), (0.8, 2.0), (1.0, 8.0)])
def test_one_exponent_takes_as_long_as_the_exact_bar(ratio: float, biot: float) -> None:
    def left(fourier: float) -> float:
        return theta(0.0, biot, fourier) * theta(0.0, biot / ratio, fourier * ratio**2) - 0.3

    exact = brentq(left, 0.01, 20.0)
    beta = brick_beta(ratio, 0.0, biot)
    alike = brentq(lambda f: theta(beta, biot, f) - 0.3, 0.01, 20.0)
    assert alike == pytest.approx(exact, rel=0.004)  # the table has three decimals


def test_rounder_pieces_have_higher_exponents() -> None:
    grid = np.linspace(0, 1, 9)
    along = [brick_beta(r, 0.3, 1.0) for r in grid]
    assert along == sorted(along)


def test_a_thin_steak_is_a_slab_and_a_chunk_is_not() -> None:
    steak = piece_beta(Piece(weight_kg=0.19, thickness_cm=2.5), 1060.0, 1.0)
    chunk = piece_beta(Piece(weight_kg=0.22, thickness_cm=5.5), 1060.0, 1.0)
    assert steak < 0.25
    assert chunk > 0.9


def test_the_footprint_gives_only_how_oblong_the_piece_is() -> None:
    piece = Piece(weight_kg=2.2, thickness_cm=5.5, footprint=Size(16, 12))
    a, b = ratios(piece, 1060.0)
    assert a / b == pytest.approx(12 / 16)


@pytest.mark.parametrize("thickness", [None, 0.0, -1.0, 200.0, float("nan")])
def test_a_thickness_that_cannot_be_is_refused(thickness: float) -> None:
    with pytest.raises(OutOfRangeError):
        ratios(Piece(weight_kg=1.0, thickness_cm=thickness), 1060.0)

"""Cards that are right are read as written, and what they leave out has a default."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from bot.cards import check, defaults, read_dish, read_event, read_texts
from bot.cards.defaults import keys
from bot.examples import GOLDEN_WEDDING as WEDDING
from core.model import Batch, Check, Moment, Per, Profile, Role, Size, StationKind, Tied
from tests.bot.cards_texts import DISH, SHORTEST, changed, folder


def test_the_shortest_event_is_three_files_of_ten_lines_and_a_dish_of_a_dozen() -> None:
    for text in SHORTEST.values():
        assert len(text.splitlines()) <= 12


def test_the_shortest_event_reads(tmp_path: Path) -> None:
    cards = read_event(folder(tmp_path))
    assert cards.event.day == date(2026, 6, 13)
    assert cards.event.heads == 12
    assert cards.dishes[0].id == "chops"
    assert cards.chef is not None
    assert cards.chef.name == "Ana"
    assert check(tmp_path) == ()


def test_what_the_shortest_event_leaves_out_has_the_printed_defaults(tmp_path: Path) -> None:
    cards = read_event(folder(tmp_path))
    assert cards.event.slack_per_hour_min == 10
    assert cards.event.slack_min is None
    assert cards.event.profile is None
    assert cards.event.calls == "both"
    assert cards.event.languages == ("en",)
    assert cards.kit.stations[0].fill_max == 0.75
    assert cards.dishes[0].steps[0].tied is Tied.ELASTIC
    assert 'event.toml card: slack_per_hour = "10 min"' in defaults()
    assert 'kit.toml [[station]]: fill_max = "75 %"' in defaults()


def test_every_key_has_a_default_or_is_needed_or_unset() -> None:
    assert len(keys()) > 120
    needed = {(file, key) for (file, _, key), value in keys().items() if value == "needed"}
    assert needed == {
        ("event.toml", "id"),
        ("event.toml", "date"),
        ("event.toml", "tz"),
        ("event.toml", "heads"),
        ("event.toml", "dish"),
        ("event.toml", "from"),
        ("event.toml", "needs"),
        ("kit.toml", "id"),
        ("kit.toml", "kind"),
        ("crew.toml", "id"),
        ("dish", "batch"),
        ("dish", "do"),
    }


def test_absent_allergens_are_unknown_and_an_empty_list_means_none(tmp_path: Path) -> None:
    unknown = read_event(folder(tmp_path / "a")).dishes[0].ingredients[0]
    texts = changed("dishes/chops.toml", 'qty = "4 pieces"', 'qty = "4 pieces"\nallergens = []')
    none = read_event(folder(tmp_path / "b", texts)).dishes[0].ingredients[0]
    assert unknown.allergens is None
    assert none.allergens == ()


def test_a_count_of_four_makes_four_stations(tmp_path: Path) -> None:
    new = 'id = "P"\ncount = 4'
    texts = changed("kit.toml", "", f'[[station]]\n{new}\nkind = "smoker"\n')
    kit = read_event(folder(tmp_path, texts)).kit
    assert [s.id for s in kit.matching("P")] == ["P1", "P2", "P3", "P4"]
    assert [s.id for s in kit.matching("smoker")] == ["P1", "P2", "P3", "P4"]
    assert [s.id for s in kit.matching("P3")] == ["P3"]


def test_a_count_of_one_keeps_its_name(tmp_path: Path) -> None:
    kit = read_event(folder(tmp_path)).kit
    assert [(s.id, s.family, s.kind) for s in kit.stations] == [
        ("grill", "grill", StationKind.GRILL),
        ("bench", "bench", StationKind.TABLE),
    ]


def test_a_file_that_starts_with_a_byte_order_mark_reads(tmp_path: Path) -> None:
    folder(tmp_path)
    (tmp_path / "event.toml").write_bytes(b"\xef\xbb\xbf" + SHORTEST["event.toml"].encode())
    assert read_event(tmp_path).event.id == "lunch"


def test_windows_line_ends_read_and_keep_their_line_numbers(tmp_path: Path) -> None:
    folder(tmp_path)
    text = SHORTEST["event.toml"].replace("heads = 12", "heads = 0").replace("\n", "\r\n")
    (tmp_path / "event.toml").write_bytes(text.encode())
    assert [error.line for error in check(tmp_path)] == [4]


def test_one_dish_reads_alone(tmp_path: Path) -> None:
    path = folder(tmp_path, {"chops.toml": DISH}) / "chops.toml"
    dish = read_dish(path)
    assert (dish.id, dish.batch, dish.portion) == ("chops", Batch(4, "pieces"), Batch(2, "pieces"))
    assert check(path) == ()


@pytest.mark.parametrize("name", ["event.toml", "kit.toml", "crew.toml"])
def test_one_file_is_checked_alone(tmp_path: Path, name: str) -> None:
    assert check(folder(tmp_path) / name) == ()


def test_the_texts_for_the_record_are_the_files_as_they_stand(tmp_path: Path) -> None:
    assert read_texts(folder(tmp_path)) == SHORTEST


# ------------------------------------------------------------------ the reference event


def test_the_reference_event_has_no_mistake() -> None:
    assert check(WEDDING) == ()


def test_the_reference_event_explains_every_key() -> None:
    lines = [line for path in WEDDING.rglob("*.toml") for line in path.read_text().splitlines()]
    explained = {line.split("=")[0].strip("# ") for line in lines if "#" in line and "=" in line}
    plain = {line.split("=")[0].strip("# ") for line in lines if "=" in line}
    asked_for = {key for _, _, key in keys()}
    assert asked_for - plain == set()
    assert {"id", "name", "date", "slack_per_hour", "instead_of", "in_wind"} <= explained


def test_the_reference_event_is_read_as_its_card_says() -> None:
    cards = read_event(WEDDING)
    event = cards.event
    assert event.profile is Profile.UK
    assert event.instant(event.serve[0].start) == datetime(2026, 6, 13, 13, 0, tzinfo=UTC)
    assert event.slack_min == 0
    assert event.house.hot_min_c == 63
    assert event.travel.off_site == Moment(0, 17, 30)
    assert [s.id for s in cards.kit.matching("cold_box")] == ["box1", "box2", "box3", "box4"]
    assert cards.kit.matching("smoker")[0].size == Size(110, 55)
    assert cards.kit.matching("smoker")[0].load_by == "rack"
    carmen = cards.person("carmen")
    assert carmen is not None
    assert (carmen.role, carmen.languages, carmen.backup) == (Role.COLD, ("es",), "ana")
    assert carmen.shifts[0] == (Moment(-1, 9, 0), Moment(-1, 19, 0))


def test_the_reference_lamb_is_read_as_its_card_says() -> None:
    lamb = read_event(WEDDING).dish("lamb-rump")
    smoke, brine, carve = (lamb.step(name) for name in ("smoke", "brine", "carve"))
    assert smoke is not None
    assert brine is not None
    assert carve is not None
    assert (smoke.temp_c, smoke.until_core_c, smoke.ideal_min) == (115, 46, 62)
    assert (smoke.gap_min, smoke.gap_max_min) == (2, 10)
    assert smoke.checks[1] == Check(31, 27.9)
    assert (brine.per, brine.lot, brine.never_over_min) == (Per.LOT, 28, 300)
    assert carve.ideal_min == pytest.approx(25 / 60)
    assert lamb.piece.weight_kg == 0.22
    assert lamb.fits == {"smoker": 28, "grill": 14}
    assert lamb.ingredients[1].card == "brine-concentrate"
    assert lamb.ingredients[1].fill_to_l == 0.9
    assert lamb.ingredients[0].packs[0].price == 84.50

"""Paper and calendars: what stands on them, read back from the bytes we would hand out."""

from __future__ import annotations

import ast
import csv
from collections.abc import Sequence
from dataclasses import replace
from io import StringIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import icalendar
import pytest
from babel.messages.pofile import read_po
from hypothesis import given, settings
from hypothesis import strategies as st

import bot.pictures
import bot.sheets
from bot.render.catalogue import part_texts
from bot.sheets import (
    buy_table,
    csv_bytes,
    inspector_pdf,
    label_table,
    labels_pdf,
    lists_pdf,
    load_out_table,
    plan_ics,
    prep_tables,
    strip_pdf,
)
from bot.sheets.allergy import contents_of, menu_contents
from bot.sheets.amounts import words_of
from bot.sheets.inspector import inspector_blocks
from bot.sheets.labels import label_lines
from bot.sheets.ledger import record_of
from bot.sheets.paper import Block, Grid, Text
from bot.sheets.readings import Limit, limit_of
from bot.sheets.strip import allergy_blocks, emergency_blocks, strip_blocks
from bot.sheets.tables import Table
from core.allergens import Made, Swap
from core.cook import Cook, replay
from core.facts import Entry, ReadingTaken, Report, StepReported, Undone
from core.model import Cards, Place, Reading
from core.planner import plan as planned
from core.scaling.sheets import tub_labels
from tests.bot.pdftext import page_texts
from tests.bot.plans import (
    at,
    harvest,
    harvest_plan,
    wedding,
    wedding_log,
    wedding_plan,
)
from tests.published import published

RFC_4180 = "RFC 4180, Common Format and MIME Type for CSV Files, section 2"
RFC_5545 = "RFC 5545, Internet Calendaring and Scheduling Core Object Specification"
HEAD = "0f1e2d3c4b5a69788796a5b4c3d2e1f0" * 2


def flat(text: str) -> str:
    return " ".join(text.split())


def grids(blocks: Sequence[Block]) -> list[Grid]:
    return [b for b in blocks if isinstance(b, Grid)]


def texts(blocks: Sequence[Block]) -> list[str]:
    return [b.text for b in blocks if isinstance(b, Text)]


def templates() -> set[str]:
    """Return every template written in pictures and sheets."""
    found = set()
    for folder in (Path(bot.pictures.__file__).parent, Path(bot.sheets.__file__).parent):
        for file in folder.glob("*.py"):
            for node in ast.walk(ast.parse(file.read_text("utf-8"))):
                match node:
                    case ast.Call(func=ast.Name(id="say"), args=[ast.Constant(value=str(text))]):
                        found.add(text)
                    case ast.Assign(targets=[ast.Name(id="named")], value=ast.Tuple(elts=names)):
                        found |= {ast.literal_eval(name) for name in names} - {""}
    return found


def test_everything_printed_has_its_spanish() -> None:
    known = {
        message.id if isinstance(message.id, str) else message.id[0]  # one and many
        for _, text in part_texts("es")
        for message in read_po(StringIO(text), locale="es")
        if message.string
    }
    assert len(templates()) > 80
    assert not templates() - known


# ------------------------------------------------------------------ CSV


def as_rows(data: bytes) -> list[list[str]]:
    return list(csv.reader(StringIO(data.decode("utf-8-sig"), newline=""), strict=True))


@published(RFC_4180)
def test_lines_of_a_csv_end_in_cr_lf_and_quotes_are_doubled() -> None:
    data = csv_bytes(Table("t", ("a", "b"), (('say "hi"', "x,y"), ("two\nlines", "ñ")), (1, 1)))
    assert data.decode("utf-8-sig") == 'a,b\r\n"say ""hi""","x,y"\r\n"two\nlines",ñ\r\n'


@given(st.lists(st.tuples(st.text(), st.text()), max_size=8))
@settings(max_examples=60, deadline=None)
def test_what_goes_into_a_csv_comes_out_of_it(rows: list[tuple[str, str]]) -> None:
    clean = [tuple("".join(c for c in cell if c.isprintable()) for cell in row) for row in rows]
    table = Table("t", ("a", "b"), tuple((x, y) for x, y in clean), (1, 1))
    found = as_rows(csv_bytes(table))[1:]
    assert [[cell.removeprefix("'") for cell in row] for row in found] == [
        [cell.removeprefix("'") for cell in row] for row in clean
    ]


@pytest.mark.parametrize("cell", ["=1+1", "+cmd", "-2+3", "@SUM(A1)", "\tx"])
def test_no_cell_is_run_as_a_formula(cell: str) -> None:
    row = as_rows(csv_bytes(Table("t", ("a",), ((cell,),), (1,))))[1]
    assert row[0].startswith("'")


# ------------------------------------------------------------------ lists


def test_the_buy_list_names_need_and_packs() -> None:
    row = next(r for r in buy_table(wedding(), 60, "en").rows if r[1] == "lamb rump")
    assert row == ("", "lamb rump", "13.692", "kg", "3 × 5 kg", "1.308")  # by hand: 14 x 978 g


def test_a_spanish_buy_list_has_spanish_heads_and_commas() -> None:
    table = buy_table(wedding(), 60, "es")
    assert table.heads[1] == "artículo"
    potatoes = next(r for r in table.rows if r[1] == "new potatoes")
    assert potatoes[4] == "3 × 2,5 kg"


def test_prices_are_on_no_list() -> None:
    cards = wedding()
    tables = [buy_table(cards, 60, "en"), *prep_tables(cards, 60, "en")]
    printed = (
        b"".join(csv_bytes(t) for t in tables)
        + "".join(page_texts(lists_pdf(cards, 60, "en"))).encode()
    )
    for price in (b"84.5", b"84,5", b"44.00", b"GBP"):
        assert price not in printed


def test_there_is_a_prep_sheet_for_each_day_and_station() -> None:
    tables = prep_tables(harvest(), 320, "en")
    keys = [(t.rows[0][0], t.rows[0][1]) for t in tables]
    assert len(keys) == len(set(keys))
    for table, (day, station) in zip(tables, keys, strict=True):
        assert {(r[0], r[1]) for r in table.rows} == {(day, station)}


def test_a_prep_sheet_says_whether_minutes_are_for_a_piece_or_a_tub() -> None:
    rows = [r for t in prep_tables(wedding(), 60, "en") for r in t.rows]
    trim = next(r for r in rows if r[2] == "TRIM" and r[3] == "Lamb rump")
    brine = next(r for r in rows if r[2] == "BRINE IN")
    assert trim[5] == "3 min each"
    assert (brine[5], brine[6]) == ("3 h a tub", "5 h")  # from the card: ideal, never over


def test_small_amounts_are_grams_on_a_prep_sheet() -> None:
    rows = [r for t in prep_tables(wedding(), 60, "en") for r in t.rows]
    dressing = next(r for r in rows if "dill" in r[8])
    assert "33 g dill" in dressing[8]  # by hand: 8.25 x 4 g


def test_the_load_out_list_has_two_of_what_stops_the_job() -> None:
    rows = load_out_table(wedding(), 60, "en").rows
    assert ("☐", "☐", "2", "lighter", "spares") in rows
    assert ("☐", "☐", "4", "box", "stations") in rows


def test_every_list_prints_and_numbers_its_pages() -> None:
    pages = page_texts(lists_pdf(harvest(), 320, "es"))
    for n, page in enumerate(pages, 1):
        assert flat(page).endswith(f"{n} / {len(pages)}")


# ------------------------------------------------------------------ labels and allergens


def labels(cards: Cards, heads: int) -> dict[tuple[str, int], tuple[str, ...]]:
    words = words_of(cards, "en")
    return {
        (x.what, x.number): tuple(line for line, _ in label_lines(x, cards, words))
        for x in tub_labels(cards, heads)
    }


def test_a_label_says_which_tub_how_much_and_how_long() -> None:
    label = labels(wedding(), 60)["Lamb rump", 2]
    assert label[1] == "Tub 2 of 2 · 28 pieces"
    assert "≤ 5 °C · MAX 5 h" in label


def test_a_label_names_what_is_known_and_what_is_not_confirmed() -> None:
    label = labels(wedding(), 60)["Leek and potato salad", 1]
    assert label[2] == "CONTAINS milk, mustard"
    assert label[3] == "NOT CONFIRMED, label not read: cider vinegar"


def test_a_label_clears_nothing_that_may_be_there() -> None:
    label = labels(wedding(), 60)["Lamb rump", 1]
    assert "May contain: mustard" in label
    assert "Allergens: none on its labels" not in label


def test_labels_print_eight_to_a_page() -> None:
    count = len(tub_labels(harvest(), 320))
    pages = page_texts(labels_pdf(harvest(), 320, "en"))
    assert len(pages) == -(-count // 8)
    assert sum(page.count("Made ____") for page in pages) == count


def test_a_label_printer_gets_a_row_for_each_tub() -> None:
    assert len(label_table(wedding(), 60, "en").rows) == len(tub_labels(wedding(), 60))


def test_a_dish_holds_what_the_cards_inside_it_hold() -> None:
    cards = wedding()
    celeriac = contents_of(cards, cards.dish("celeriac"))
    assert {"celery", "nuts", "wheat"} <= set(celeriac.contains)  # the crumb is a card of its own
    assert not celeriac.clear


def test_one_unread_label_leaves_a_dish_unconfirmed() -> None:
    cards = wedding()
    sauce = cards.dish("green-sauce")
    parsley = replace(sauce.ingredients[0], label_confirmed=False)
    changed = replace(sauce, ingredients=(parsley, *sauce.ingredients[1:]))
    found = contents_of(cards, changed)
    assert found.unread == (parsley.name,)


def test_a_swap_makes_the_sheet_say_not_confirmed() -> None:
    cards = wedding()
    made = Made({}, (Swap("buttermilk"),))
    salad = next(c for c in menu_contents(cards, made) if c.dish == "Leek and potato salad")
    assert "buttermilk" in salad.unread
    words = words_of(cards, "en")
    table = grids(allergy_blocks(cards, words, made))[0]
    row = next(r for r in table.rows if r[0] == "Leek and potato salad")
    assert "buttermilk" in row[3]


def test_dishes_on_demand_are_on_the_allergy_sheet() -> None:
    assert "Portobello and halloumi" in {c.dish for c in menu_contents(wedding())}


def test_the_allergy_sheet_names_guests_the_person_to_ask_and_the_caution() -> None:
    said = texts(allergy_blocks(wedding(), words_of(wedding(), "en")))
    assert "1 × coeliac, table 2" in said
    assert any("ask Carmen" in line and "Not confirmed is not 'no'" in line for line in said)


@pytest.mark.parametrize("cards", [wedding(), harvest()], ids=["wedding", "harvest"])
def test_only_a_dish_with_every_label_read_says_none(cards: Cards) -> None:
    rows = grids(allergy_blocks(cards, words_of(cards, "en")))[0].rows
    by_name = {c.dish: c for c in menu_contents(cards)}
    for name, holds, _, unread in rows:
        assert (holds == "none on its labels") == by_name[name].clear
        assert bool(unread) == bool(by_name[name].unread)


# ------------------------------------------------------------------ strip and emergency


def test_strip_allergens_and_emergency_are_a_page_each() -> None:
    cards = wedding()
    pages = page_texts(strip_pdf(wedding_plan(), cards, at(cards, "12:20"), "en"))
    assert len(pages) == 3
    assert "PLAN A · 12:20–13:50" in flat(pages[0])
    assert "ALLERGENS" in pages[1]
    assert "EMERGENCY" in pages[2]


def test_a_strip_of_90_minutes_for_320_guests_is_one_page() -> None:
    cards = harvest()
    assert len(page_texts(strip_pdf(harvest_plan(), cards, at(cards, "17:50"), "es"))) == 3


def test_the_strip_shows_exactly_what_falls_into_its_90_minutes() -> None:
    cards = wedding()
    rows = grids(strip_blocks(wedding_plan(), cards, at(cards, "12:20"), words_of(cards, "en")))[
        0
    ].rows
    assert rows[0] == ("12:22", "SMOKE Lamb rump B → smoker · 115 °C", "Bo", "☐")  # by hand
    assert rows[-1] == ("13:47", "SLICE Lamb rump A + B → bench", "Ana, Dev", "☐")  # by hand
    assert ("13:12", "SEAR Lamb rump A.1 → grill · 300 °C · flip 13:13, 13:15", "Bo", "☐") in rows
    assert ("13:10", "PULL Lamb rump A · core 46 °C", "Bo", "☐") in rows


def test_the_strip_warns_before_a_hard_maximum() -> None:
    cards = harvest()
    rows = grids(strip_blocks(harvest_plan(), cards, at(cards, "15:30"), words_of(cards, "en")))[
        0
    ].rows
    found = [r for r in rows if "MAX" in r[1]]
    assert [r[0] for r in found] == ["16:20"]  # by hand: brine 14:00, never over 150 min
    assert "MAX 16:30" in found[0][1]


def test_without_a_time_there_is_a_strip_for_all_of_the_day() -> None:
    cards = wedding()
    pages = page_texts(strip_pdf(wedding_plan(), cards, None, "en"))
    heads = [flat(p).split(" PLATES")[0] for p in pages if "PLATES" in p]
    assert heads == [  # by hand: first fire 09:30, last plates 14:09
        "PLAN A · 09:30–11:00",
        "PLAN A · 11:00–12:30",
        "PLAN A · 12:30–14:00",
        "PLAN A · 14:00–15:30",
    ]


def test_the_emergency_card_has_number_site_gate_and_first_aider() -> None:
    said = texts(emergency_blocks(wedding(), words_of(wedding(), "en")))
    assert said[2] == "999"
    assert said[3] == "The lower orchard, Orchard Lane 3"
    assert {"Gate: gate 3", "First aider: Dev"} <= set(said)


def test_a_missing_emergency_card_is_said_and_not_made_up() -> None:
    cards = replace(wedding(), event=replace(wedding().event, emergency=None))
    said = texts(emergency_blocks(cards, words_of(cards, "en")))
    assert "No number and no address" in said[1]


@pytest.mark.parametrize("name", ["wedding", "harvest"])
def test_the_planners_own_plans_print(name: str) -> None:
    cards = wedding() if name == "wedding" else harvest()
    plan = planned(cards)
    pages = page_texts(strip_pdf(plan, cards, None, "es"))
    assert "ALÉRGENOS" in pages[-2]
    assert "LLAMA AL" in pages[-1]
    assert len(events(plan_ics(plan, cards, "es"))) == len([*plan.runs(), *plan.tasks])


# ------------------------------------------------------------------ the inspector's sheet


def sheet(entries: Sequence[Entry] = (), broken_at: int | None = None) -> list[Block]:
    log = tuple(entries) or wedding_log()
    record = record_of(log, replay(log), wedding().event.zone, "en")
    return list(inspector_blocks(record, HEAD, broken_at))


def table_after(blocks: Sequence[Block], title: str) -> Grid:
    place = next(n for n, b in enumerate(blocks) if isinstance(b, Text) and b.text == title)
    grid = blocks[place + 1]
    assert isinstance(grid, Grid)
    return grid


def test_readings_stand_under_their_limit_with_time_instrument_and_who() -> None:
    rows = table_after(sheet(), "Core temperatures").rows
    assert rows[1] == (
        "2026-06-13 13:00",
        "SMOKE Lamb rump A",
        "38 °C core",
        "card 46 °C",
        "red",
        "Bo",
        "",
    )


def test_a_reading_that_was_taken_back_is_shown_with_who_took_it_back() -> None:
    row = table_after(sheet(), "Core temperatures").rows[0]
    assert row[2] == "83 °C core"
    assert row[6] == "TAKEN BACK 13:01 by Bo"
    corrections = table_after(sheet(), "Corrections").rows
    assert corrections[0][:2] == ("2026-06-13 13:01", "Bo")
    assert "83 °C" in corrections[0][2]


def test_what_was_done_after_a_reading_stands_beside_it() -> None:
    cold = table_after(sheet(), "Cold holding").rows
    assert (cold[0][2], cold[0][3], cold[0][6]) == ("9.5 °C air", "house ≤ 5 °C", "NOT YET, 11:20")
    core = table_after(sheet(), "Core temperatures").rows
    assert "done" in core[2][6]


def test_a_verdict_has_its_rule_source_status_and_tables() -> None:
    row = table_after(sheet(), "Verdicts").rows[0]
    assert row[1] == "NOT YET"
    assert row[3:] == ("cold-hold (uk)", "FSA C", "tables-1")
    assert "until 14:40" in row[2]


def test_a_limit_nobody_read_is_said_to_have_no_reading() -> None:
    said = texts(sheet())
    assert said[said.index("Hot holding") + 1] == "No reading on record."


def test_binned_food_and_plans_with_their_reason_are_on_the_sheet() -> None:
    assert table_after(sheet(), "Binned").rows[0][2] == "2 pcs"
    plan = table_after(sheet(), "Plans adopted").rows[0]
    assert plan[1:5] == ("A", "2026-06-13 14:00", "60", "first plan")


def test_a_report_that_came_late_says_when_it_was_told() -> None:
    rows = table_after(sheet(), "The rest of the log").rows
    done = next(r for r in rows if r[0] == "#12")
    assert "told 13:19" in done[2]


def test_thermometers_stand_with_the_date_of_their_ice_check() -> None:
    rows = table_after(sheet(), "Thermometers").rows
    assert rows[1] == ("red", "instant", "2026-06-12 16:00", "", "3", "0")


def test_an_instrument_nobody_knows_is_said_to_be_unknown() -> None:
    reading = Reading(3.0, Place.TUB, at(wedding(), "11:30"), "bo", "box3", instrument="pocket")
    extra = Entry(14, reading.at, reading.at, "bo", ReadingTaken(reading))
    rows = table_after(sheet((*wedding_log(), extra)), "Thermometers").rows
    assert rows[-1] == ("pocket", "not on the cards", "none on record", "", "1", "0")


def test_a_broken_chain_is_said_large() -> None:
    broken = [b for b in sheet(broken_at=5) if isinstance(b, Text) and "BROKEN at #5" in b.text]
    assert broken[0].size_pt >= 18
    assert not any("Chain verified" in t for t in texts(sheet(broken_at=5)))
    assert any("Chain verified" in t for t in texts(sheet()))


def test_an_empty_log_verifies_nothing() -> None:
    data = inspector_pdf((), Cook(), "", None, wedding().event.zone, "en")
    assert "NOT VERIFIED" in page_texts(data)[0]


def test_a_person_whose_name_was_erased_stands_with_the_id() -> None:
    log = tuple(replace(e, by="gone-1") if e.by == "bo" else e for e in wedding_log())
    assert table_after(sheet(log), "Core temperatures").rows[1][5] == "gone-1"


def test_every_page_bears_its_number_and_the_chains_head() -> None:
    log = wedding_log()
    more = tuple(
        replace(log[6], seq=14 + n, fact=StepReported("lamb-rump/B/smoke", Report.START))
        for n in range(120)
    )
    cook = replay((*log, *more))
    pages = page_texts(inspector_pdf((*log, *more), cook, HEAD, None, wedding().event.zone, "es"))
    assert len(pages) > 2
    for n, page in enumerate(pages, 1):
        assert flat(page).endswith(f"golden-wedding-1 · {HEAD[:12]} {n} / {len(pages)}")


@given(
    st.lists(
        st.tuples(
            st.sampled_from(Place),
            st.sampled_from(["box3", "hot1", "smoker", "lamb-rump/A/smoke", "a pocket", ""]),
            st.floats(-30, 300),
            st.booleans(),
        ),
        max_size=12,
    )
)
@settings(max_examples=40, deadline=None)
def test_every_reading_is_on_the_sheet_once_taken_back_or_not(
    made: list[tuple[Place, str, float, bool]],
) -> None:
    log = list(wedding_log()[:3])
    now = at(wedding(), "12:00")
    for place, about, value, back in made:
        log.append(
            Entry(
                len(log) + 1, now, now, "bo", ReadingTaken(Reading(value, place, now, "bo", about))
            )
        )
        if back:
            log.append(Entry(len(log) + 1, now, now, "bo", Undone((log[-1].seq,))))
    record = record_of(log, replay(log), wedding().event.zone, "en")
    titles = (
        "Core temperatures",
        "Hot holding",
        "Cold holding",
        "Fires and pits",
        "Other readings",
    )
    blocks = list(inspector_blocks(record, HEAD, None))
    shown = sum(
        len(after.rows)
        for before, after in pairwise(blocks)
        if isinstance(before, Text) and before.text in titles and isinstance(after, Grid)
    )
    assert shown == len(made)
    assert all(isinstance(limit_of(e.fact.reading, record), Limit)
               for e in log if isinstance(e.fact, ReadingTaken))  # fmt: skip


@pytest.mark.parametrize("lang", ["en", "es"])
def test_the_same_log_is_the_same_bytes(lang: str) -> None:
    log, zone = wedding_log(), wedding().event.zone
    cook = replay(log)
    assert inspector_pdf(log, cook, HEAD, None, zone, lang) == inspector_pdf(
        log, cook, HEAD, None, zone, lang
    )


def test_no_name_breaks_a_page() -> None:
    strange = "**$\\frac{1}{0}$** 羊 \u202e {nb} " + "x" * 300
    cards = replace(
        wedding(),
        event=replace(wedding().event, name=strange),
        dishes=tuple(replace(d, name=strange) for d in wedding().dishes),
    )
    data = strip_pdf(wedding_plan(), cards, at(cards, "12:20"), "en")
    assert "EMERGENCY" in page_texts(data)[-1]
    assert page_texts(labels_pdf(cards, 60, "en"))


# ------------------------------------------------------------------ the calendar


def lines_of(data: bytes) -> list[bytes]:
    return data.split(b"\r\n")


def events(data: bytes) -> list[Any]:
    return list(icalendar.Calendar.from_ical(data).walk("VEVENT"))


def calendar(letter: str = "A", lang: str = "en") -> bytes:
    return plan_ics(replace(wedding_plan(), letter=letter), wedding(), lang)


@published(f"{RFC_5545}, 3.1: lines end in CRLF and are at most 75 octets long")
def test_lines_of_a_calendar_are_folded() -> None:
    cards = replace(wedding(), event=replace(wedding().event, name="ñ" * 200))
    data = plan_ics(wedding_plan(), cards, "es")
    assert data.endswith(b"\r\n")
    assert b"\n" not in data.replace(b"\r\n", b"")
    assert max(len(line) for line in lines_of(data)) <= 75


@published(f"{RFC_5545}, 3.6: PRODID and VERSION 2.0 are required")
def test_a_calendar_says_what_made_it_and_its_version() -> None:
    found = icalendar.Calendar.from_ical(calendar())
    assert str(found["version"]) == "2.0"
    assert str(found["prodid"])


@published(f"{RFC_5545}, 3.6.1: UID and DTSTAMP are required, DTSTAMP in UTC")
def test_every_event_has_its_own_uid_and_a_stamp_in_utc() -> None:
    found = events(calendar())
    assert len({str(e["uid"]) for e in found}) == len(found)
    stamps = [line for line in lines_of(calendar()) if line.startswith(b"DTSTAMP")]
    assert len(stamps) == len(found)
    assert all(line.endswith(b"Z") for line in stamps)


@published(f"{RFC_5545}, 3.8.2.2: DTEND is later than DTSTART")
def test_no_event_ends_before_it_begins() -> None:
    plan = wedding_plan()
    point = replace(plan.tasks[0], end=plan.tasks[0].start)
    data = plan_ics(replace(plan, tasks=(point, *plan.tasks[1:])), wedding(), "en")
    for event in events(data):
        if "dtend" in event:
            assert event["dtend"].dt > event["dtstart"].dt
        else:
            assert str(event["uid"]).startswith("light/smoker")


@published(f"{RFC_5545}, 3.8.4.7 and 3.8.7.4: a revised event keeps its UID and counts up SEQUENCE")
def test_the_next_plan_moves_events_instead_of_adding_others() -> None:
    a, b = events(calendar("A")), events(calendar("B"))
    assert [str(e["uid"]) for e in a] == [str(e["uid"]) for e in b]
    assert {int(e["sequence"]) for e in a} == {0}
    assert {int(e["sequence"]) for e in b} == {1}


@published(f"{RFC_5545}, 3.3.11: commas, semicolons, backslashes and line breaks are escaped")
def test_any_name_comes_back_from_a_calendar_as_it_was() -> None:
    name = 'salt, "a"; \\ oil'
    cards = replace(wedding(), dishes=tuple(replace(d, name=name) for d in wedding().dishes))
    plan = wedding_plan()
    first = events(plan_ics(replace(plan, loads=plan.loads[1:2], tasks=()), cards, "en"))[0]
    assert str(first["summary"]) == f"SMOKE {name} A"


def test_times_of_a_calendar_are_the_plans() -> None:
    run = wedding_plan().loads[1].runs[0]
    event = next(e for e in events(calendar()) if str(e["uid"]).startswith(run.key))
    assert (event["dtstart"].dt, event["dtend"].dt) == (run.start, run.end)
    assert str(event["summary"]) == "SMOKE Lamb rump A"


def test_a_calendar_never_rings() -> None:
    assert b"VALARM" not in calendar()


def test_an_empty_plan_is_an_empty_calendar() -> None:
    bare = replace(wedding_plan(), loads=(), tasks=())
    assert events(plan_ics(bare, wedding(), "en")) == []

"""Reports on the day: what is refused, what is booked, what it moves."""

from __future__ import annotations

import pytest

from core.calls import calls_owed
from core.cook import Cook, Phase, replay
from core.cook.decision import Dated, WrongTimeError, booked
from core.cook.state import NEXT, items
from core.cook.taps import NothingOpenError
from core.errors import KitchenError, OutOfRangeError, OutOfSequenceError, UnknownNameError
from core.facts import (
    AnswerCall,
    Apply,
    CallMade,
    ChangeHeads,
    Choose,
    MovePlates,
    PlanAdopted,
    Report,
    ReportStep,
    Retimed,
    RunLate,
    TickLoaded,
    Undo,
    Undone,
    Wish,
)
from core.model import Place, Verdict, say
from tests.core.cook_cases import at, read, said, started, wish


def test_a_load_that_never_went_on_cannot_come_off() -> None:
    with pytest.raises(OutOfSequenceError, match="cannot come next"):
        wish(started(), ReportStep("A", "off", Report.DONE), "bo", "12:30")


def called_on(load: str) -> Cook:
    """Return the cook after somebody was called to put a load on, and ticked nothing."""
    cook = started()
    call = next(
        c for c in calls_owed(cook) if c.about == f"lamb-rump/{load}/smoke" and c.kind == "start"
    )
    return booked(cook, (Dated(call.at, CallMade(call)),), "bot", call.at)


def test_what_comes_off_was_on_when_it_was_called_though_nobody_ticked_it() -> None:
    cook, decision = wish(called_on("A"), ReportStep("A", "off", Report.DONE), "bo", "13:10")
    assert decision.answer is not None
    assert decision.answer.lines[1].text == "Nobody ticked it on: taken as {clock}, as called."
    smoke = cook.job("lamb-rump/A/smoke")
    assert (smoke.started, smoke.ended) == (at("12:09"), at("13:10"))


def test_what_was_called_a_moment_ago_cannot_come_off_yet() -> None:
    with pytest.raises(OutOfSequenceError):
        wish(called_on("A"), ReportStep("A", "off", Report.DONE), "bo", "12:25")


def test_a_load_cannot_go_on_twice() -> None:
    cook = said(started(), "A", "on", "12:08")
    with pytest.raises(OutOfSequenceError):
        wish(cook, ReportStep("A", "smoke", Report.START), "bo", "12:10")


def test_raw_meat_is_not_seared_before_it_was_smoked() -> None:
    with pytest.raises(OutOfSequenceError):
        wish(started(), ReportStep("A.1", "sear", Report.START), "bo", "12:30")


@pytest.mark.parametrize(
    ("what", "error"),
    [
        (ReportStep("Z9", "on", Report.START), UnknownNameError),
        (ReportStep("A", "boil", Report.START), UnknownNameError),
        (ReportStep("A", "bin", Report.DISCARD, 500), OutOfRangeError),
        (ReportStep("A", "bin", Report.DISCARD, -3), OutOfRangeError),
        (ChangeHeads(0), OutOfRangeError),
        (ChangeHeads(-5), OutOfRangeError),
        (ChangeHeads(10**9), OutOfRangeError),
        (MovePlates(at("14:00", 3)), OutOfRangeError),
        (MovePlates(at("09:01")), OutOfRangeError),
        (RunLate(0), OutOfRangeError),
        (RunLate(1e6), OutOfRangeError),
        (Choose(1), NothingOpenError),
        (AnswerCall("nonsense"), NothingOpenError),
        (AnswerCall(), NothingOpenError),
        (Undo(), NothingOpenError),
    ],
)
def test_the_impossible_is_refused_in_one_clear_line(what: Wish, error: type[KitchenError]) -> None:
    with pytest.raises(error) as caught:
        wish(started(), what, "ana", "12:30")
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(("clock", "heard"), [("12:40", "12:30"), ("12:30", "12:20")])
def test_a_report_from_the_future_is_refused(clock: str, heard: str) -> None:
    with pytest.raises(WrongTimeError, match="still to come"):
        wish(started(), ReportStep("A", "on", Report.START), "bo", clock, heard)


def test_a_load_cannot_come_off_before_it_went_on() -> None:
    cook = said(started(), "A", "on", "12:08")
    with pytest.raises(WrongTimeError, match="it started 12:08"):
        wish(cook, ReportStep("A", "off", Report.DONE), "bo", "12:01", "12:30")


def test_a_late_tick_moves_what_follows_from_the_stated_time() -> None:
    cook, decision = wish(started(), ReportStep("A", "on", Report.START), "bo", "12:18", "12:20")
    assert any(isinstance(d.fact, Retimed) for d in decision.facts)
    assert cook.plan is not None
    smoke = items(cook.plan)["lamb-rump/A/smoke"]
    assert (smoke.start, smoke.end) == (at("12:18"), at("13:20"))  # by hand: 62 min on the card


def test_starting_a_step_ends_the_rest_before_it() -> None:
    cook = said(said(started(), "A", "on", "12:08"), "A", "off", "13:10")
    cook = said(cook, "A.1", "sear", "13:12")
    assert cook.phase("lamb-rump/A/smoke") is Phase.OVER
    assert cook.phase("lamb-rump/A/rub") is Phase.OVER
    assert cook.phase("lamb-rump/A/sear/1") is Phase.RUNNING
    assert cook.phase("lamb-rump/A/sear/2") is Phase.WAITING


def test_undo_says_what_it_undid_and_keeps_both_lines_in_the_log() -> None:
    before = started()
    cook = said(before, "A", "on", "12:08")
    cook, decision = wish(cook, Undo(), "bo", "12:10")
    assert decision.answer is not None
    assert decision.answer.lines[0].text == "Undid: {what} ({who}, {clock})."
    assert cook.phase("lamb-rump/A/smoke") is Phase.WAITING
    assert any(isinstance(e.fact, Undone) for e in cook.entries)


def test_undo_is_for_a_quarter_of_an_hour_and_for_ones_own_only() -> None:
    cook = said(started(), "A", "on", "12:08")
    with pytest.raises(NothingOpenError):
        wish(cook, Undo(), "bo", "12:24")
    with pytest.raises(NothingOpenError):
        wish(cook, Undo(), "carmen", "12:09")


def test_a_head_count_is_a_question_until_it_is_tapped() -> None:
    cook, decision = wish(started(), ChangeHeads(64), "dev", "10:00")
    assert cook.heads == 60
    assert [n.to for n in decision.notices] == [("ana",)]
    cook, _ = wish(cook, Choose(1), "ana", "10:02")
    assert cook.heads == 64
    assert cook.plan is not None
    assert cook.plan.letter == "B"


def test_leaving_it_changes_nothing() -> None:
    cook, _ = wish(started(), ChangeHeads(64), "dev", "10:00")
    cook, _ = wish(cook, Choose(2), "ana", "10:02")
    assert (cook.heads, cook.plan and cook.plan.letter) == (60, "A")


def test_a_change_whose_outcome_is_no_longer_the_one_shown_is_asked_again() -> None:
    shown = Apply(64, at("14:00"), say("x"), "64/another outcome")
    cook, decision = wish(started(), shown, "ana", "10:00")
    assert not any(isinstance(d.fact, PlanAdopted) for d in decision.facts)
    assert cook.open_questions("ana")


def test_a_core_at_its_target_says_pull() -> None:
    cook = said(started(), "A", "on", "12:08")
    answer = read(cook, "A", 46.2, "13:10").answer
    assert answer is not None
    assert answer.lines[1].text == "{verb} now: {core} reached."


def test_a_reading_ten_degrees_low_at_the_planned_look_asks_for_a_second_probe() -> None:
    cook = said(started(), "A", "on", "12:08")
    answer = read(cook, "A", 18.0, "12:39").answer  # the tested batch had 27.9 °C there
    assert answer is not None
    assert any("robe" in line.text for line in answer.lines)
    assert not any(line.text.startswith("On curve") for line in answer.lines)


def test_a_core_no_meat_can_have_is_refused() -> None:
    cook = said(started(), "A", "on", "12:08")
    with pytest.raises(OutOfRangeError):
        read(cook, "A", 400.0, "12:40")


def test_a_cold_box_clock_runs_from_the_last_good_reading() -> None:
    cook = started()
    good = read(cook, "box1", 4.0, "12:40", Place.TUB)
    from core.cook.decision import booked

    cook = booked(cook, good.facts, "bo", at("12:40"))
    answer = read(cook, "box1", 9.5, "12:55", Place.TUB).answer
    assert answer is not None
    assert answer.verdict is not Verdict.OK
    since = [f.at for line in answer.lines for n, f in line.fields.items() if n == "since"]  # type: ignore[union-attr]
    assert since == [at("12:40")]


def test_the_table_of_reports_only_leads_forward() -> None:
    order = [Phase.WAITING, Phase.RUNNING, Phase.OVER, Phase.GONE]
    assert all(order.index(to) >= order.index(was) for (was, _), to in NEXT.items())


def test_booking_one_by_one_is_the_same_as_replaying() -> None:
    cook = said(said(started(), "A", "on", "12:08"), "B", "on", "12:22")
    assert replay(cook.entries) == cook


def test_three_people_tick_the_van_and_no_tick_is_lost() -> None:
    cook = started()
    for person, thing in (("eli", "tongs"), ("bo", "lighter"), ("dev", "tongs")):
        cook, decision = wish(cook, TickLoaded(thing), person, "09:10")
    assert cook.loaded == {"two/tongs", "two/lighter"}
    assert decision.answer is not None
    left = decision.answer.numbers[1].value, decision.answer.numbers[0].value
    assert left == (37, 2)  # pinned: the wedding's list


def test_what_is_not_on_the_list_is_told_with_what_is_missing() -> None:
    with pytest.raises(UnknownNameError, match="There is: Brine concentrate"):
        wish(started(), TickLoaded("piano"), "eli", "09:10")

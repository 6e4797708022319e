"""Silence: who is rung, who is not, and what rings whatever was asked for.

Minutes of the ladder, budgets and quiet hours: the crew's rules of trust (common practice).
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from core.calls import calls_owed
from core.cook import Job, Phase
from core.cook.decision import Notice
from core.cook.service.silence import hushed_notices, quiet_until, quiet_windows
from core.errors import OutOfRangeError
from core.facts import AnswerCall, Choose, Mute, Report, ReportStep, Undo
from core.model import Moment, Sound, say
from tests.core.cook.ringing import Push, ring, to, with_tasks
from tests.core.cook_cases import at, said, started, wish

SMOKE_A = "lamb-rump/A/smoke"


def about(pushes: list[Push], key: str) -> list[tuple[str, str, int, int]]:
    """Return (person, kind, minutes after the first, sound) of the calls of a job."""
    found = [(p, c) for p in pushes for c in p.calls if c.about == key and c.kind != "check"]
    first = min((p.at for p, _ in found), default=at("00:00"))
    return [
        (p.person, c.kind, round((p.at - first).total_seconds() / 60), int(p.sound))
        for p, c in found
    ]


# ------------------------------------------------------------------ the ladder


def test_a_must_do_climbs_to_the_backup_at_three_and_to_the_chef_at_six_minutes() -> None:
    _, pushes = ring(started(), at("12:30"))
    ladder = [x for x in about(pushes, SMOKE_A) if x[1] == "start"]
    assert ladder[0] == ("bo", "start", 0, 1)
    assert ladder[1:] == [("ana", "start", 3, 2)]  # Ana is Bo's backup and the chef: once is enough


def test_three_people_of_a_larger_crew_are_told_in_turn() -> None:
    cook = started()
    assert cook.cards is not None
    crew = tuple(replace(p, backup="dev") if p.id == "bo" else p for p in cook.cards.crew)
    cook = replace(cook, cards=replace(cook.cards, crew=crew))
    _, pushes = ring(cook, at("12:30"))
    ladder = [x for x in about(pushes, SMOKE_A) if x[1] == "start"]
    assert ladder == [("bo", "start", 0, 1), ("dev", "start", 3, 2), ("ana", "start", 6, 2)]


@pytest.mark.parametrize("clock", ["12:10", "12:13"])
def test_the_ladder_stops_at_once_on_any_answer(clock: str) -> None:
    cook, _ = ring(started(), at(clock))
    cook, _ = wish(cook, AnswerCall(f"{SMOKE_A}/start"), "bo", clock)
    made = len(cook.calls)
    cook, pushes = ring(cook, at("12:20"))
    assert not [x for x in about(pushes, SMOKE_A) if x[1] == "start"]
    assert len(cook.calls) >= made


def test_an_unticked_start_whose_later_step_is_ticked_counts_as_done() -> None:
    cook, _ = ring(started(), at("13:12"))
    cook = said(cook, "A.1", "sear", "13:13")
    _, pushes = ring(cook, at("13:30"))
    assert not about(pushes, SMOKE_A)


def test_the_lead_hears_once_a_load_that_nobody_ticks_it() -> None:
    _, pushes = ring(started(), at("14:00"))
    of_a = [c for p in pushes for c in p.calls if c.load == "lamb-rump/A" and c.rung == 2]
    assert len(of_a) <= 1


def test_a_hard_maximum_goes_on_ringing_until_it_has_passed() -> None:
    cook = started()
    assert cook.plan is not None
    brine = next(t for t in cook.plan.tasks if t.do == "brine")
    cook = replace(cook, plan=replace(cook.plan, loads=(), tasks=(brine,)),
                   jobs={brine.id: Job(Phase.RUNNING, brine.start)})  # fmt: skip
    _, pushes = ring(cook, brine.start + timedelta(hours=6))
    rung = [(p.person, p.sound) for p in pushes if any(c.kind == "limit" for c in p.calls)]
    assert rung[0] == ("carmen", Sound.ALARM)
    assert [sound for _, sound in rung] == [Sound.ALARM] * len(rung)
    assert 3 <= len(rung) <= 5


def test_a_job_put_off_twice_rings_again_both_times_under_a_key_of_its_own() -> None:
    cook, key = started(), "green-sauce/blend/tick"
    rung = []
    for clock in ("11:00", "11:05", "11:10"):
        cook, pushes = ring(cook, at(clock))
        rung += [c.key for p in pushes for c in p.calls if c.key.startswith(key)]
        cook, _ = wish(cook, Choose(2, rung[-1]), "carmen", clock)
    assert rung == [key, f"{key}#1", f"{key}#2"]


# ------------------------------------------------------------------ one push, not five


def test_batches_of_a_load_on_the_same_hands_are_one_push_each_with_its_time() -> None:
    cook = said(said(started(), "A", "on", "12:08"), "A", "off", "13:10")
    _, pushes = ring(cook, at("13:40"))
    sears = [p for p in to(pushes, "bo") if any(c.step == "sear" and c.kind == "start"
             and c.load == "lamb-rump/A" for c in p.calls)]  # fmt: skip
    batches = [c.about for c in sears[0].calls if c.step == "sear"]
    assert batches == ["lamb-rump/A/sear/1", "lamb-rump/A/sear/2"]


def test_turns_and_ends_of_what_somebody_stands_at_make_no_sound() -> None:
    cook = said(
        said(said(started(), "A", "on", "12:08"), "A", "off", "13:10"), "A.1", "on", "13:12"
    )
    owed = [c for c in calls_owed(cook) if c.about == "lamb-rump/A/sear/1"]
    assert {c.kind: c.sound for c in owed} == {"flip": Sound.SILENT, "end": Sound.SILENT}


# ------------------------------------------------------------------ mute


def test_muted_means_no_look_rings_but_a_must_do_still_does() -> None:
    cook = said(started(), "A", "on", "12:08")
    cook, decision = wish(cook, Mute(at("14:00")), "bo", "12:10")
    assert decision.answer is not None
    _, pushes = ring(cook, at("13:20"))
    kinds = {c.kind for p in to(pushes, "bo") for c in p.calls}
    assert "check" not in kinds
    assert "start" in kinds  # load B, the grill's sear: only he can


def test_the_room_still_reads_what_a_muted_person_is_not_rung_for() -> None:
    cook = said(started(), "A", "on", "12:08")
    cook, _ = wish(cook, Mute(at("14:00")), "bo", "12:10")
    cook, _ = ring(cook, at("12:30"))
    check = cook.calls[f"{SMOKE_A}/check1"].call
    assert check.quiet == ("bo",)


def test_when_the_mute_ends_one_line_says_what_was_not_ticked() -> None:
    cook = with_tasks(started(), at("10:00"), 10, 3, "eli")
    cook, _ = wish(cook, Mute(at("11:00")), "eli", "09:55")
    _, pushes = ring(cook, at("11:30"))
    (digest,) = to(pushes, "eli")
    assert (digest.at, digest.sound) == (at("11:00"), Sound.ONCE)
    assert "{n} not ticked" in digest.calls[0].line.text


def test_speaking_again_is_a_word() -> None:
    cook = with_tasks(started(), at("10:00"), 10, 3, "eli")
    cook, _ = wish(cook, Mute(at("11:00")), "eli", "09:55")
    cook, _ = wish(cook, Mute(None), "eli", "09:58")
    _, pushes = ring(cook, at("10:05"))
    assert [p.at for p in to(pushes, "eli")] == [at("10:00")]


def test_nobody_is_quiet_for_longer_than_a_shift() -> None:
    with pytest.raises(OutOfRangeError):
        wish(started(), Mute(at("23:30")), "bo", "10:00")


def test_a_muted_person_is_spared_news_but_not_questions_findings_or_alarms() -> None:
    cook, _ = wish(started(), Mute(at("14:00")), "bo", "10:00")
    line = (say("x"),)
    news, ask = (
        Notice("a", ("bo",), line, Sound.ONCE),
        Notice("b", ("bo",), line, Sound.ONCE, kind="call"),
    )
    loud = Notice("c", ("bo", "ana"), line, Sound.ALARM)
    kept = hushed_notices(cook, (news, ask, loud), at("10:05"))
    assert [n.key for n in kept] == ["b", "c"]


# ------------------------------------------------------------------ budgets


@pytest.mark.parametrize(("clock", "most"), [("10:00", 12), ("14:00", 6)])
def test_nobody_but_a_lead_gets_more_pushes_an_hour_than_the_budget(clock: str, most: int) -> None:
    start = at(clock)
    _, pushes = ring(with_tasks(started(), start, 3.5, 17, "eli"), start + timedelta(minutes=40))
    times = [p.at for p in to(pushes, "eli")]
    assert len(times) <= most
    _, of_lead = ring(with_tasks(started(), start, 3.5, 17, "dev"), start + timedelta(minutes=59))
    assert len(to(of_lead, "dev")) > most


def test_what_is_over_budget_is_in_the_room_and_never_an_alarm() -> None:
    cook, _ = ring(with_tasks(started(), at("10:00"), 3.5, 17, "eli"), at("11:00"))
    held = [m.call for m in cook.calls.values() if m.call.quiet]
    assert held
    assert all(c.sound is Sound.ONCE and not c.must for c in held)


# ------------------------------------------------------------------ quiet hours


@pytest.mark.parametrize(
    ("clock", "day", "until"),
    [
        ("22:00", -2, ("06:30", -1)),
        ("03:00", -1, ("06:30", -1)),
        ("23:59", -1, ("06:30", 0)),
        ("21:59", -1, None),
        ("06:30", -1, None),
        ("12:00", 0, None),
        ("17:31", 0, ("11:00", 1)),  # off the site at 17:30
        ("10:59", 1, ("11:00", 1)),
        ("11:00", 1, None),
    ],
)
def test_quiet_hours_are_the_nights_of_prep_and_the_morning_after(
    clock: str, day: int, until: tuple[str, int] | None
) -> None:
    end = quiet_until(quiet_windows(started()), at(clock, day))
    assert end == (at(until[0], until[1]) if until else None)


def test_a_job_of_the_night_is_told_in_the_morning() -> None:
    cook = with_tasks(started(), at("23:00", -1), 5, 1, "eli")
    _, pushes = ring(cook, at("07:00"))
    assert [(p.at, p.sound) for p in to(pushes, "eli")] == [(at("06:30"), Sound.ONCE)]


def test_who_is_on_watch_at_night_is_rung_at_night() -> None:
    cook = with_tasks(started(), at("23:00", -1), 5, 1, "eli")
    assert cook.cards is not None
    night = ((Moment(-1, 20, 0), Moment(0, 4, 0)),)
    crew = tuple(replace(p, shifts=night) if p.id == "eli" else p for p in cook.cards.crew)
    _, pushes = ring(replace(cook, cards=replace(cook.cards, crew=crew)), at("23:30", -1))
    assert [p.at for p in to(pushes, "eli")] == [at("23:00", -1)]


def test_the_cold_chain_rings_the_night_person_alone() -> None:
    cook = started()
    assert cook.plan is not None
    brine = next(t for t in cook.plan.tasks if t.do == "brine")
    night = replace(brine, start=at("22:00", -1), end=at("23:00", -1),
                    never_after=at("02:00"))  # fmt: skip
    cook = replace(cook, entries=(), plan=replace(cook.plan, loads=(), tasks=(night,)),
                   jobs={night.id: Job(Phase.RUNNING, night.start)})  # fmt: skip
    _, pushes = ring(cook, at("01:52"))
    assert [(p.person, p.sound) for p in pushes] == [("ana", Sound.ALARM)]  # leads the night


def test_after_the_event_there_is_nothing_until_eleven() -> None:
    cook = with_tasks(started(), at("18:30"), 5, 2, "eli")
    _, pushes = ring(cook, at("10:59", 1))
    assert pushes == []


# ------------------------------------------------------------------ taps


def test_a_double_tap_counts_once() -> None:
    cook = with_tasks(started(), at("10:00"), 2, 2, "eli")
    cook, _ = ring(cook, at("10:00"))
    cook, _ = wish(cook, AnswerCall("wash-0/tick"), "eli", "10:01")
    cook, again = wish(cook, AnswerCall(), "eli", "10:01")
    assert again.facts == ()
    assert cook.phase("wash-1") is Phase.WAITING


def test_a_tap_three_minutes_later_is_a_new_one() -> None:
    cook = with_tasks(started(), at("10:00"), 2, 2, "eli")
    cook, _ = ring(cook, at("10:02"))
    cook, _ = wish(cook, AnswerCall("wash-0/tick"), "eli", "10:02")
    cook, again = wish(cook, AnswerCall(), "eli", "10:05")
    assert again.facts
    assert cook.phase("wash-1") is Phase.OVER


def test_two_open_calls_are_asked_and_a_reply_to_one_settles_it() -> None:
    cook = with_tasks(started(), at("10:00"), 2, 2, "eli")
    cook, _ = ring(cook, at("10:02"))
    asked, decision = wish(cook, AnswerCall(), "eli", "10:03")
    assert decision.answer is not None
    assert decision.answer.question is not None
    assert len(decision.answer.choices) == 2
    told, _ = wish(cook, AnswerCall("wash-0/tick"), "eli", "10:03")
    assert (told.phase("wash-0"), told.phase("wash-1")) == (Phase.OVER, Phase.WAITING)
    chosen, _ = wish(asked, Choose(2), "eli", "10:04")
    assert chosen.phase("wash-0") is Phase.OVER


def test_done_with_nothing_open_ends_what_is_in_hand() -> None:
    cook = with_tasks(started(), at("10:00"), 30, 1, "eli")
    cook, _ = wish(cook, ReportStep("wash-0", "wash", Report.START), "eli", "10:00")
    cook, _ = wish(cook, AnswerCall(), "eli", "10:20")
    assert cook.phase("wash-0") is Phase.OVER


def test_undo_takes_back_a_count_and_says_so() -> None:
    from core.facts import CountPlates

    cook, _ = wish(started(), CountPlates(40), "dev", "14:05")
    cook, decision = wish(cook, Undo(), "dev", "14:06")
    assert cook.service.out == 0
    assert decision.answer is not None

from __future__ import annotations

from datetime import timedelta

from bot.pace import Tempo
from bot.ports import Pace
from tests.bot import golden_facts

NOW = golden_facts.at(9)


def after(seconds: float) -> timedelta:
    return timedelta(seconds=seconds)


def test_where_there_is_no_limit_there_is_no_wait() -> None:
    tempo = Tempo(Pace())
    for _ in range(1000):
        tempo.sent("r", NOW)
    assert tempo.room_is_free_at("r", 2, NOW) == NOW
    assert tempo.places(NOW) is None
    assert tempo.free_at(NOW) == NOW


def test_a_burst_is_followed_by_a_breath() -> None:
    tempo = Tempo(Pace(room_burst=3))
    for second in (0, 1, 1):
        tempo.sent("r", NOW + after(second))
    # by hand: the oldest of the three leaves its 3 s at second 3
    assert tempo.room_is_free_at("r", 0, NOW + after(1)) == NOW + after(3)
    assert tempo.room_is_free_at("other", 0, NOW + after(1)) == NOW + after(1)


def test_a_window_slides_and_does_not_refill_at_once() -> None:
    tempo = Tempo(Pace(room_per_min=20))
    for n in range(20):
        tempo.sent("r", NOW + after(n))
    # by hand: the first leaves the minute at 60 s, so one place then, not twenty
    at = tempo.room_is_free_at("r", 0, NOW + after(20))
    assert at == NOW + after(60)
    tempo.sent("r", at)
    assert tempo.room_is_free_at("r", 0, at) == NOW + after(61)


def test_the_last_places_of_a_minute_are_for_what_is_urgent() -> None:
    tempo = Tempo(Pace(room_per_min=18))
    for _ in range(15):
        tempo.sent("r", NOW)
    assert tempo.room_is_free_at("r", 2, NOW) == NOW + after(60)
    assert tempo.room_is_free_at("r", 1, NOW) == NOW + after(60)
    assert tempo.room_is_free_at("r", 0, NOW) == NOW


def test_a_very_small_pace_still_lets_answers_through() -> None:
    tempo = Tempo(Pace(room_per_min=2))
    assert tempo.room_is_free_at("r", 2, NOW) == NOW


def test_all_rooms_together_have_so_many_places_a_second() -> None:
    tempo = Tempo(Pace(total_per_s=25))
    for n in range(25):
        tempo.sent(f"r{n}", NOW)
    assert (tempo.places(NOW), tempo.free_at(NOW)) == (0, NOW + after(1))
    assert tempo.places(NOW + after(1)) == 25


def test_what_was_sent_by_a_clock_that_was_ahead_does_not_count() -> None:
    tempo = Tempo(Pace(room_burst=1, room_per_min=1, total_per_s=1))
    tempo.sent("r", NOW)
    back = NOW - timedelta(hours=1)
    assert tempo.room_is_free_at("r", 0, back) == back
    assert tempo.places(back) == 1


def test_a_private_room_has_no_minute_where_only_groups_have_one() -> None:
    tempo = Tempo(Pace(room_burst=3, room_per_min=18, minute_for="-"))
    for second in range(60):
        tempo.sent("42", NOW + after(second))
        tempo.sent("-42", NOW + after(second))
    # by hand: 57 to 59 fill the burst, the first of the three leaves its 3 s at second 60
    assert tempo.room_is_free_at("42", 1, NOW + after(59)) == NOW + after(60)
    assert tempo.room_is_free_at("-42", 1, NOW + after(59)) > NOW + after(60)


def test_the_topics_of_a_chat_share_its_pace() -> None:
    tempo = Tempo(Pace(room_burst=3, room_before="/"))
    for topic in ("-42/1", "-42/2", "-42"):
        tempo.sent(topic, NOW)
    assert tempo.room_is_free_at("-42/3", 0, NOW) == NOW + after(3)
    assert tempo.room_is_free_at("-43/3", 0, NOW) == NOW

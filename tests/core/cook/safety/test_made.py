"""Allergens from the batch made: swaps flip at once, two people close them, old labels linger.

What a swap and a label do: common practice; a NO wants every label confirmed.
"""

from __future__ import annotations

import pytest

from core.allergens import contains
from core.cook import Cook, replay
from core.cook.safety.made import batches_of, made_of
from core.errors import CannotPlanError, NotAllowedError, UnknownNameError
from core.facts import (
    MakeBatch,
    ReadLabel,
    Report,
    ReportStep,
    ShowLabel,
    SwapBrand,
    Undo,
)
from core.model import Role, Sound, Verdict
from tests.core.cook.safety.days import at, calls, spoken, started, tap, words

PHOTO = "c0ffee" + 58 * "0"


def says(cook: Cook, dish: str, token: str) -> Verdict:
    assert cook.cards is not None
    return contains(cook.cards, cook.cards.dish(dish), token, made_of(cook)).verdict


def swapped(cook: Cook) -> Cook:
    return spoken(cook, "carmen", "10:00", SwapBrand("lamb rub", PHOTO))[0]


def test_before_any_swap_a_no_is_earned_by_labels() -> None:
    assert says(started(), "lamb-rump", "egg") is Verdict.NO


def test_another_brand_flips_every_dish_with_it_in_the_same_answer() -> None:
    cook, decision = spoken(started(), "carmen", "10:00", SwapBrand("buttermilk"))
    assert decision.answer is not None
    assert decision.answer.verdict is Verdict.NOT_CONFIRMED
    assert "Leek and potato salad" in words(decision.answer)
    assert says(cook, "leek-potato-salad", "egg") is Verdict.NOT_CONFIRMED
    assert says(cook, "buttermilk-dressing", "egg") is Verdict.NOT_CONFIRMED
    assert says(cook, "lamb-rump", "egg") is Verdict.NO  # has none of it


def test_the_front_is_told_to_ask_the_chef_and_the_allergy_lead_is_rung_until_it_is_read() -> None:
    cook, decision = spoken(started(), "bo", "10:00", SwapBrand("buttermilk"))
    assert [n.to for n in decision.notices] == [("dev",)]
    (call,) = calls(cook, "label")
    assert (call.to, call.sound, call.must) == (("carmen",), Sound.ALARM, True)


def test_one_person_alone_confirms_nothing() -> None:
    cook, decision = spoken(swapped(started()), "ana", "10:05", ReadLabel("lamb rub", ()))
    assert decision.answer is not None
    assert decision.answer.verdict is Verdict.NOT_CONFIRMED
    assert says(cook, "lamb-rump", "egg") is Verdict.NOT_CONFIRMED


def test_chef_and_allergy_person_together_close_it() -> None:
    cook = spoken(swapped(started()), "carmen", "10:05", ReadLabel("lamb rub", (), (), PHOTO))[0]
    cook, _ = tap(cook, "ana", "10:06", 1)
    assert says(cook, "lamb-rump", "egg") is Verdict.NO
    assert calls(cook, "label") == ()


def test_a_label_that_names_something_puts_it_in_and_nobody_forgets_the_old_one() -> None:
    cook = spoken(swapped(started()), "ana", "10:05", ReadLabel("lamb rub", ("celery",)))[0]
    cook, _ = tap(cook, "carmen", "10:06", 1)
    assert says(cook, "lamb-rump", "celery") is Verdict.YES
    assert says(cook, "lamb-rump", "egg") is Verdict.NO


def test_while_old_batches_may_be_about_both_labels_count() -> None:
    cook = spoken(started(), "carmen", "10:00", SwapBrand("buttermilk"))[0]
    cook = spoken(cook, "ana", "10:05", ReadLabel("buttermilk", ("soy",)))[0]
    cook = tap(cook, "carmen", "10:06", 1)[0]
    assert says(cook, "buttermilk-dressing", "milk") is Verdict.YES  # the card's own brand
    assert says(cook, "buttermilk-dressing", "soy") is Verdict.YES


def test_may_contain_is_never_a_no() -> None:
    cook = spoken(swapped(started()), "ana", "10:05", ReadLabel("lamb rub", (), ("egg",)))[0]
    cook, _ = tap(cook, "carmen", "10:06", 1)
    assert says(cook, "lamb-rump", "egg") is Verdict.NOT_CONFIRMED


def test_a_second_swap_opens_it_again() -> None:
    cook = spoken(swapped(started()), "carmen", "10:05", ReadLabel("lamb rub", ()))[0]
    cook = tap(cook, "ana", "10:06", 1)[0]
    cook = spoken(cook, "dev", "10:30", SwapBrand("lamb rub"))[0]
    assert says(cook, "lamb-rump", "egg") is Verdict.NOT_CONFIRMED


def test_a_brand_of_nothing_on_the_cards_leaves_no_dish_cleared() -> None:
    cook, decision = spoken(started(), "bo", "10:00", SwapBrand("mayo"))
    assert decision.answer is not None
    assert decision.answer.verdict is Verdict.NOT_CONFIRMED
    assert says(cook, "lamb-rump", "egg") is Verdict.NOT_CONFIRMED


@pytest.mark.parametrize("who", ["bo", "dev", "eli"])
def test_the_crew_gives_a_photo_and_reads_no_label_out(who: str) -> None:
    with pytest.raises(NotAllowedError, match="Ana"):
        spoken(started(), who, "10:05", ReadLabel("buttermilk", ()))
    cook, decision = spoken(started(), who, "10:05", ShowLabel("buttermilk", PHOTO))
    assert cook.safety.photos == (("buttermilk", PHOTO),)
    assert decision.answer is not None
    assert decision.answer.verdict is Verdict.NOT_CONFIRMED


def test_a_swap_cannot_be_undone_it_is_closed_by_a_label() -> None:
    cook = swapped(started())
    cook = spoken(cook, "carmen", "10:00", ReportStep("grill", "light", Report.START))[0]
    cook = spoken(cook, "carmen", "10:01", Undo())[0]
    assert says(cook, "lamb-rump", "egg") is Verdict.NOT_CONFIRMED


def test_a_label_of_nothing_on_the_cards_is_refused() -> None:
    with pytest.raises(CannotPlanError):
        spoken(started(), "ana", "10:05", ReadLabel("caviar", ()))


# ------------------------------------------------------------------ batches


def test_what_went_in_beside_the_card_is_a_label_nobody_has_read() -> None:
    wish = MakeBatch("lamb-rump", 2, ("honey", "lamb rub"))
    cook, decision = spoken(started(), "ana", "10:40", wish)
    assert says(cook, "lamb-rump", "egg") is Verdict.NOT_CONFIRMED
    assert "honey" in words(decision.answer)
    assert "lamb rub" not in words(decision.answer)  # that is on the card
    assert made_of(cook).batches["lamb-rump"] == (2, at("10:40"))


def test_a_tick_of_the_card_s_mixing_is_a_batch() -> None:
    cook = spoken(started(), "carmen", "13:35", ReportStep("leek-potato-salad", "dress",
                                                           Report.DONE))[0]  # fmt: skip
    assert made_of(cook).batches["leek-potato-salad"] == (1, at("13:35"))


def test_word_and_tick_of_one_batch_are_one() -> None:
    cook = spoken(started(), "carmen", "13:30", MakeBatch("leek-potato-salad", 1))[0]
    cook = spoken(cook, "carmen", "13:40", ReportStep("leek-potato-salad", "dress",
                                                      Report.DONE))[0]  # fmt: skip
    assert len(batches_of(cook)) == 1


def test_batches_count_on_by_themselves() -> None:
    cook = spoken(started(), "carmen", "10:00", MakeBatch("green-sauce"))[0]
    cook = spoken(cook, "carmen", "11:00", MakeBatch("green-sauce"))[0]
    assert [b.number for b in batches_of(cook)] == [1, 2]


def test_an_unknown_dish_is_refused() -> None:
    with pytest.raises(UnknownNameError):
        spoken(started(), "carmen", "10:00", MakeBatch("gazpacho"))


def test_a_replayed_log_knows_the_same_batches_and_labels() -> None:
    cook = spoken(swapped(started()), "carmen", "10:05", ReadLabel("lamb rub", ("egg",)))[0]
    cook = tap(cook, "ana", "10:06", 1)[0]
    assert replay(cook.entries).safety == cook.safety
    assert cook.cards is not None
    assert cook.cards.chef is not None
    assert cook.cards.chef.role is Role.CHEF

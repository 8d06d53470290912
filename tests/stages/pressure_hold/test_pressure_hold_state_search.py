"""The leak search by parting off: on invented chains with known leaks it names one, and never a wrong one."""

import random

import pytest

from commission.stages.pressure_hold.entries import SearchTried, TryWord
from commission.stages.pressure_hold.judge.search_try import TryBasis, fall_pa, noise_pa, wait_s, word_of
from commission.stages.pressure_hold.state.search import Search
from tests.holds import gauge_reads

SEED = 20261128


def _try(behind: str, word: TryWord) -> SearchTried:
    at = gauge_reads(500.0)
    return SearchTried(attempt=1, behind=behind, start=at, end=at, after_s=60.0, word=word)


def _searched(names: tuple[str, ...], leaks: set[str], unclear: set[int] | None = None) -> tuple[Search, int]:
    """Search as the program proposes, with true answers but for the tries that are not clear; return its end."""
    search, tried = Search(suspects=names), 0
    while search.next_cut:
        cut = search.next_cut
        tried += 1
        kept = names[: names.index(cut) + 1]
        word = TryWord.LEAKS if leaks & set(kept) else TryWord.TIGHT
        if unclear and tried in unclear:
            word = TryWord.NOT_CLEAR
        search = Search(suspects=names, tries=(*search.tries, _try(cut, word)))
    return search, tried


def _chain(parts: int) -> tuple[str, ...]:
    return ("test rig", *(f"part {n}" for n in range(1, parts + 1)))


@pytest.mark.parametrize("parts", range(1, 34))
def test_one_leak_in_a_chain_is_named_within_the_tries_that_halving_needs(parts: int) -> None:
    """Halving n suspects takes ceil(log2 n) questions (Shannon 1948, sect. 6); one more is for the rig."""
    most = (parts - 1).bit_length() + 1  # ceil(log2(n)) of a whole n is the bit length of n - 1
    for leak in _chain(parts):
        search, tried = _searched(_chain(parts), {leak})
        assert search.found == leak
        assert tried <= most


def test_whatever_leaks_and_whatever_is_not_clear_the_one_named_does_leak() -> None:
    chance = random.Random(SEED)
    for _ in range(400):
        names = _chain(chance.randint(1, 20))
        leaks = set(chance.sample(names, chance.randint(1, min(3, len(names)))))
        unclear = set(chance.sample(range(1, 40), chance.randint(0, 12)))
        search, tried = _searched(names, leaks, unclear)
        assert search.found in leaks, (SEED, names, leaks, unclear)
        assert tried <= len(names) + len(unclear)


def test_a_try_that_is_not_clear_takes_nobody_off_the_list_and_another_place_is_proposed() -> None:
    names = _chain(7)
    search = Search(suspects=names)
    first = search.next_cut
    search = Search(suspects=names, tries=(_try(first, TryWord.NOT_CLEAR),))
    assert search.left == names
    assert search.next_cut not in ("", first)


def test_tries_that_contradict_name_nobody() -> None:
    names = _chain(4)
    search = Search(suspects=names, tries=(_try("part 1", TryWord.LEAKS), _try("part 3", TryWord.TIGHT)))
    assert (search.left, search.found, search.next_cut) == ((), "", "")
    again = Search(suspects=names, tries=(*search.tries, _try("part 1", TryWord.TIGHT)))
    assert again.found == "part 4"


BASIS = TryBasis(leak_pa_m3_s=0.02, volume_m3=1e-3, step_pa=10.0, room_swing_k=0.5)
"""A leak of 0.2 mbar·L/s in 1 L: 0.2 mbar (20 Pa) each second."""


def test_noise_fall_and_wait_are_those_of_the_sums_on_paper() -> None:
    # noise: 2 * 10 Pa + (50 000 + 101 325) Pa * 0.5 K / 293.15 K = 20 + 258.10 = 278.10 Pa
    assert noise_pa(BASIS, 50_000.0) == pytest.approx(278.10, abs=0.01)
    # q * t / V = 0.02 Pa m3/s * 60 s / 0.001 m3 = 1200 Pa
    assert fall_pa(BASIS, 60.0) == pytest.approx(1200.0)
    # 2 * 278.10 Pa / (20 Pa/s) = 27.81 s
    assert wait_s(BASIS, 50_000.0) == pytest.approx(27.81, abs=0.01)


@pytest.mark.parametrize(
    ("fell", "after_s", "word"),
    [
        (1200.0, 60.0, TryWord.LEAKS),  # all that the leak makes
        (2400.0, 60.0, TryWord.LEAKS),  # faster: half of the volume is parted off
        (200.0, 60.0, TryWord.TIGHT),  # less than needs no leak, and far less than 1200
        (200.0, 10.0, TryWord.NOT_CLEAR),  # the leak makes 200 Pa in 10 s: it cannot be told from the room
        (600.0, 60.0, TryWord.NOT_CLEAR),  # more than the room, less than the leak: a second, smaller one, or cooling
        (-600.0, 60.0, TryWord.NOT_CLEAR),  # it rose by more than the room makes: fed or warmed
    ],
)
def test_the_word_of_a_try_follows_the_fall(fell: float, after_s: float, word: TryWord) -> None:
    assert word_of(BASIS, 50_000.0, 50_000.0 - fell, after_s) is word


def test_after_the_wait_a_steady_gauge_is_always_clear() -> None:
    after = wait_s(BASIS, 50_000.0) * 1.001
    assert word_of(BASIS, 50_000.0, 50_000.0, after) is TryWord.TIGHT
    assert word_of(BASIS, 50_000.0, 50_000.0 - fall_pa(BASIS, after), after) is TryWord.LEAKS

"""How a volume is known says how far it can be off."""

import pytest

from commission.record.machine.volume_known import VolumeKnown, u_of_volume


def test_the_worse_a_volume_is_known_the_wider_it_is() -> None:
    widths = [u_of_volume(1e-3, known) for known in VolumeKnown]
    assert 0 < widths[0] < widths[1] < widths[2]


def test_a_guess_that_is_off_by_a_fifth_lies_within_its_one_sided_95_percent() -> None:
    # the true volume is 1/0.8 of the guess, so its rate is 25 % more; 1.697 is the one-sided 95 %
    # quantile of t with 30 degrees of freedom, by which the judge widens a volume (any table of t)
    guess, truth = 1e-3, 1e-3 / 0.8
    assert guess + 1.697 * u_of_volume(guess, VolumeKnown.GUESSED) > truth
    assert guess + 1.697 * u_of_volume(guess, VolumeKnown.SHEETS) < truth


def test_no_volume_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        u_of_volume(0.0, VolumeKnown.SHEETS)

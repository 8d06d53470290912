"""A loop's volume as it is typed, and how it is known: that decides how far it can be off."""

from collections.abc import Callable

from commission.base.errors import InputError
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.bench.ask import Question, asked_once, one_of
from commission.bench.deed import Deed
from commission.bench.figures import loop_volume
from commission.record.machine.loop import LoopVolume
from commission.record.machine.volume_known import VolumeKnown, u_of_volume
from commission.units.parse import parse_with_uncertainty

_NAMES = {str(known): str(known) for known in VolumeKnown}


def typed_volume(text: str) -> LoopVolume:
    """Return a loop's volume from text such as ``1.2 L ± 5 %`` or ``1.2 L data sheets``.

    Without ± its uncertainty follows from how it is known; without that word too it counts as guessed.

    Raises
    ------
    InputError
        If it cannot be read.

    Examples
    --------
    >>> [str(typed_volume(text).basis) for text in ("1.2 L guessed", "1.2 L ± 5 %", "1.2 L")]
    ['guessed', 'typed', 'guessed']
    """
    figure, known = _parted(text)
    value, u = parse_with_uncertainty(figure, Quantity.VOLUME)
    if u is not None:
        return LoopVolume(volume_m3=value.si, u_volume_m3=u, basis=known or "typed")
    known = known or VolumeKnown.GUESSED
    if not value.si > 0:
        raise InputError(f"{clip(text)}: a volume must be above 0")
    return LoopVolume(volume_m3=value.si, u_volume_m3=u_of_volume(value.si, known), basis=known)


def says_how_known(text: str) -> bool:
    """Return whether a typed volume says how well it is known."""
    figure, known = _parted(text)
    return known is not None or parse_with_uncertainty(figure, Quantity.VOLUME)[1] is not None


def known_question(typed: str, take: Callable[[LoopVolume], None]) -> Question:
    """Ask how a volume is known that was typed without saying so."""

    def read(text: str) -> Deed:
        loop = typed_volume(f"{typed} {one_of(text, _NAMES, 'answer')}")
        return Deed(told=loop_volume(loop), do=lambda: take(loop))

    return asked_once(
        read,
        key="volume known",
        ask=f"How is the volume {clip(typed)} known? That decides how far it can be off.",
        hint=" · ".join(f"{number} {known}" for number, known in enumerate(VolumeKnown, 1)) + " · Esc: type it again",
        proposal=str(VolumeKnown.GUESSED),
    )


def _parted(text: str) -> tuple[str, VolumeKnown | None]:
    """Part the figure from the words behind it that say how it is known."""
    words = text.split()
    for count in range(min(3, len(words) - 1), 0, -1):
        said = " ".join(words[-count:]).casefold().strip("(),")
        fits = [known for known in VolumeKnown if len(said) > 3 and str(known).startswith(said)]
        if fits:
            return " ".join(words[:-count]).rstrip(","), fits[0]
    return text, None

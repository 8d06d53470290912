"""Lines of ``show`` that more than one stage prints: reasons, volumes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from commission.base.quantity import Quantity
from commission.shell.console import ascii_only
from commission.shell.shown import shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from commission.base.quantity import Phrase


def reason_lines(name: str, reasons: Iterable[Phrase]) -> Iterator[str]:
    """Yield reasons under the name of what they speak of."""
    from commission.units.show import say

    for reason in reasons:
        yield f"{name} reason: {say(reason, ascii_only=ascii_only())}"


def volumes(*si: float) -> tuple[str, ...]:
    """Return volumes [m3] as text."""
    return tuple(shown(one, Quantity.VOLUME) for one in si)

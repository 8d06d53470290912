"""What is alike in every log that is only read, and to which nothing comes: a record of an earlier moment."""

from collections.abc import Callable
from typing import Never

from commission.base.errors import ReadOnly
from commission.record.logged import Draft, Sample
from commission.record.payload import Payload


class StillLog:
    """A log in which nothing is stored, and which nobody else writes to."""

    read_only_because = ""
    can_take_over = False

    def add_samples(
        self,
        series: str,
        samples: list[Sample],
        *,
        stamp: Callable[[Payload], Draft] | None = None,
        header: str = "",
        seal: bool = False,
    ) -> Never:
        """Refuse them; raises ReadOnly."""
        raise ReadOnly(f"nothing was stored: {self.read_only_because or 'the record is only read again'}")

    def changed(self) -> bool:
        """Return that nobody has written."""
        return False

    def take_over(self) -> bool:
        """Return that nothing is to be taken over."""
        return False

    def close(self) -> None:
        """Leave what it reads to whoever opened it."""

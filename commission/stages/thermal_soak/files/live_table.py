"""Rows of a soak that come by themselves: each is a reading at the time of its arrival."""

from commission.stages.thermal_soak.files.soak_csv import read_soak
from commission.stages.thermal_soak.model import SoakReading

EVERY_S = 60.0
"""Usual time between two readings [s]; our choice: thirty in half an hour, as when they are typed."""


class LiveTable:
    """Reads rows under a header row without a time.

    Parameters
    ----------
    header
        The header row with its end, such as ``warm [degC],air [degC]``.

    Raises
    ------
    FileError
        If it lacks the air, or names what a soak does not have.
    """

    def __init__(self, header: bytes) -> None:
        self._header = b"elapsed [s]," + header
        # a row that fits any header row, so that this one is read before the first line is waited for
        self.probe = read_soak(self._header + b",".join([b"20"] * (header.count(b",") + 2)) + b"\n").readings
        """A reading that has all that its header row names, with figures of no meaning."""

    def reading(self, elapsed_s: float, line: bytes) -> SoakReading:
        """Return the reading of a row that came at a time of the soak [s].

        Raises
        ------
        FileError
            If it cannot be read.
        """
        (reading,) = read_soak(self._header + f"{elapsed_s:.3f},".encode() + line).readings
        return reading

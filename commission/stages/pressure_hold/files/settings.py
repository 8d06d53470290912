"""What the comment lines of a hold file say: volume, limit and steps, or free text."""

import difflib
import re
from collections.abc import Callable

from commission.base.errors import FileError, InputError, on_line
from commission.base.frozen import Frozen
from commission.base.quantity import Measured, Quantity
from commission.base.text import clean, clip
from commission.base.verdict import Outcome
from commission.instruments.text_lines import split_cells
from commission.record.machine.instrument import GaugeFace
from commission.record.machine.volume_known import VolumeKnown
from commission.stages.pressure_hold.entries import SourceOff, source_named
from commission.units.parse import parse, parse_with_uncertainty

KEYS = (
    "volume",
    "volume known",
    "limit",
    "gauge step",
    "gauge kind",
    "tapped",
    "air step",
    "barometer step",
    "room swing",
    "settle",
    "source",
    "outcome",
)
"""Words before the colon that set something."""
RENAMED = {"verdict": "outcome"}
"""Words that once stood there, each with the one of today."""

_LINE = re.compile(r"([A-Za-z][A-Za-z _-]{0,30}?)\s*[:=]\s*(.*)")
_STEPS = {
    "gauge step": Quantity.PRESSURE_DIFFERENCE,
    "air step": Quantity.TEMPERATURE_DIFFERENCE,
    "barometer step": Quantity.PRESSURE_DIFFERENCE,
}


Values = dict[str, Measured | float | Outcome | GaugeFace | VolumeKnown | SourceOff | None]
"""What a comment line sets."""


class Comment(Frozen):
    """A comment line."""

    text: str
    """What stands after the #, with hidden characters made visible."""
    key: str | None
    """The setting that it gives; None for free text."""

    @property
    def free(self) -> str:
        """The free text; empty where it gives a setting."""
        return self.text.strip() if self.key is None else ""


class HoldSettings(Frozen):
    """Settings that a hold file gives for its own readings; None where it gives none."""

    volume: Measured | None = None
    """Internal volume of the loop [m3]."""
    u_volume_m3: float | None = None
    """Standard uncertainty of the volume [m3]; None where none was typed."""
    volume_known: VolumeKnown | None = None
    """How the volume is known."""
    limit: Measured | None = None
    """Largest leak rate that passes [Pa·m3/s]."""
    gauge_step: Measured | None = None
    """One step of the gauge's display [Pa]."""
    gauge_kind: GaugeFace | None = None
    """Whether the gauge shows digits or has a needle."""
    tapped: bool | None = None
    """Whether a dial was tapped before each reading."""
    air_step: Measured | None = None
    """One step of the thermometer's display [K]."""
    barometer_step: Measured | None = None
    """One step of the barometer's display [Pa]."""
    room_swing: Measured | None = None
    """How far the temperature may wander unseen [K]."""
    settle: Measured | None = None
    """How much of the start is left out [s]; None also where it says ``auto``."""
    source: SourceOff | None = None
    """How the source was kept from feeding the loop."""
    outcome: Outcome | None = None
    """What the file must give; for tests, never used to judge."""


class SettingsReader:
    """Collects the settings of one file, each at most once."""

    def __init__(self) -> None:
        self._found: dict[str, int] = {}
        self._values: Values = {}

    @property
    def settings(self) -> HoldSettings:
        """What was given so far."""
        return HoldSettings(**self._values)  # type: ignore[arg-type]

    def read(self, text: str, line: int) -> Comment:
        """Return a comment line and keep what it sets.

        Parameters
        ----------
        text
            The line from its # on.
        line
            Its number, for the message.

        Raises
        ------
        FileError
            If the value of a setting cannot be read, a setting stands twice, or a word is nearly a setting.
        """
        if text.startswith('"'):
            text = split_cells(text, ",", line)[0]
        body = text.lstrip("# \t").rstrip(" \t,;")
        comment = clean(body)
        found = _LINE.fullmatch(body)
        if found is None:
            return Comment(text=comment, key=None)
        key = re.sub(r"[ _-]+", " ", found[1]).strip().lower()
        if key in RENAMED:
            raise FileError(f"renamed: write {RENAMED[key]}", line=line, field=key)
        if key not in KEYS:
            _refuse_near_miss(key, line)
            return Comment(text=comment, key=None)
        if key in self._found:
            raise FileError(f"it stands in line {self._found[key]} already; keep one", line=line, field=key)
        with on_line(line, key):
            values = _READ[key](found[2])
        self._found[key] = line
        self._values.update(values)
        return Comment(text=comment, key=key)


def _refuse_near_miss(key: str, line: int) -> None:
    words = key.split()
    near = difflib.get_close_matches(key, KEYS, n=1, cutoff=0.7)
    near = near or [known for known in KEYS if len(words) <= 3 and set(known.split()) <= set(words)]
    if near:
        raise FileError(
            f"is {near[0]} meant? settings are {', '.join(KEYS)}; leave out the colon for free text",
            line=line,
            field=key,
        )


def _volume(text: str) -> Values:
    volume, u = parse_with_uncertainty(text, Quantity.VOLUME)
    return {"volume": volume, "u_volume_m3": u}


def _limit(text: str) -> Values:
    return {"limit": parse(text, Quantity.LEAK_RATE)}


def _step(key: str) -> Callable[[str], Values]:
    def read(text: str) -> Values:
        step = parse(text, _STEPS[key])
        if step.si <= 0:
            raise InputError(f"{clip(text)} is not above 0; one step of a display is")
        return {key.replace(" ", "_"): step}

    return read


def _gauge_kind(text: str) -> Values:
    word, faces = text.strip().lower(), [str(face) for face in GaugeFace if face]
    if word not in faces:
        raise InputError(f"{clip(text)} is no kind of gauge; kinds are {', '.join(faces)}")
    return {"gauge_kind": GaugeFace(word)}


def _tapped(text: str) -> Values:
    word = text.strip().lower()
    if word not in {"yes", "no"}:
        raise InputError(f"{clip(text)} does not say whether the dial was tapped; write yes or no")
    return {"tapped": word == "yes"}


def _volume_known(text: str) -> Values:
    word = " ".join(text.lower().split())
    if word not in set(VolumeKnown):
        raise InputError(f"{clip(text)} does not say how the volume is known; write {', '.join(VolumeKnown)}")
    return {"volume_known": VolumeKnown(word)}


def _swing(text: str) -> Values:
    return {"room_swing": parse(text, Quantity.TEMPERATURE_DIFFERENCE, low=0.0)}


def _settle(text: str) -> Values:
    return {"settle": None if text.strip().lower() == "auto" else parse(text, Quantity.DURATION)}


def _source(text: str) -> Values:
    how = source_named(text)
    if how is None:
        raise InputError(f"{clip(text)} is no answer; one of {' | '.join(SourceOff)}")
    return {"source": how}


def _outcome(text: str) -> Values:
    word = text.strip().lower()
    if word not in set(Outcome):
        raise InputError(f"{clip(text)} is no outcome; type one of {', '.join(Outcome)}")
    return {"outcome": Outcome(word)}


_READ: dict[str, Callable[[str], Values]] = {
    "volume": _volume,
    "volume known": _volume_known,
    "limit": _limit,
    "gauge step": _step("gauge step"),
    "gauge kind": _gauge_kind,
    "tapped": _tapped,
    "air step": _step("air step"),
    "barometer step": _step("barometer step"),
    "room swing": _swing,
    "settle": _settle,
    "source": _source,
    "outcome": _outcome,
}

"""Files that are refused: each says which line and field, what was understood, and what to do."""

from pathlib import Path

import pytest

from commission.base.errors import FileError
from commission.base.text import clean
from commission.stages.pressure_hold.files import hold_csv
from commission.stages.pressure_hold.files.hold_csv import read_hold

H = "elapsed [s],gauge [mbar],air [degC]\n"
T = "time,gauge [mbar]\n"

BAD: dict[str, tuple[str | bytes, int | None, str | None, str]] = {
    # name: file, line, field, what the message says
    "empty": ("", None, None, "no header row"),
    "blank lines only": ("\n\r\n\n", None, None, "no header row"),
    "comments only": ("# volume: 1.2 L\n", None, None, "no header row"),
    "header only": (H, None, None, "no row of readings"),
    "no header": ("0,500\n60,499\n", 1, "0", "the header row must stand first"),
    "elapsed without unit": ("elapsed,gauge [mbar]\n0,500\n", 1, "elapsed", "has no unit"),
    "gauge without unit": ("elapsed [s],gauge\n0,500\n", 1, "gauge", "has no unit"),
    "gauge with empty unit": ("elapsed [s],gauge []\n0,500\n", 1, "gauge []", "has no unit"),
    "unit of another quantity": ("elapsed [s],gauge [degC]\n", 1, "gauge [degC]", "unit of temperature"),
    "absolute unit for gauge": ("elapsed [s],gauge [psia]\n", 1, "gauge [psia]", "unit of absolute pressure"),
    "megabar": ("elapsed [s],gauge [Mbar]\n", 1, "gauge [Mbar]", "means a million bar; type mbar"),
    "unknown unit": ("elapsed [s],gauge [torr]\n", 1, "gauge [torr]", "not a unit of gauge pressure"),
    "unit on a note": ("elapsed [s],gauge [mbar],note [x]\n", 1, "note [x]", "no unit"),
    "unit on a time": ("time [s],gauge [mbar]\n", 1, "time [s]", r"headed elapsed \[s\]"),
    "unknown column": ("elapsed [s],gauge [mbar],flow [L/h]\n", 1, "flow [L/h]", "not known; columns are"),
    "pressure of no kind": ("elapsed [s],pressure [mbar]\n", 1, "pressure [mbar]", "not known; columns are"),
    "column without name": ("elapsed [s],gauge [mbar],\n", 1, "column 3", "no name"),
    "duplicate column": ("elapsed [s],gauge [mbar],gauge [bar]\n", 1, "gauge", "stands twice"),
    "two pressures": ("elapsed [s],gauge [mbar],absolute [kPa]\n", 1, "absolute", "keep one"),
    "two times": ("elapsed [s],time,gauge [mbar]\n", 1, "time", "keep one"),
    "no pressure": ("elapsed [s],air [degC]\n", 1, None, "no column holds the pressure"),
    "no time": ("gauge [mbar]\n500\n", 1, None, "no column holds the time"),
    "tabs": ("elapsed [s]\tgauge [mbar]\n0\t500\n", 1, "elapsed [s]\\u0009gauge [mbar]", "commas or semicolons"),
    "escape sequence as column": ("elapsed [s],gauge [mbar],\x1b[2J\n", 1, "\\u001b[2J", "not known"),
    "row too short": (H + "0,500\n", 2, None, "2 cells where the header has 3"),
    "row too long": (H + "0,500,21.3,5\n", 2, None, "4 cells where the header has 3"),
    "decimal comma in a comma file": (H + "0,500,0,21,3\n", 2, None, "a decimal comma splits a number"),
    "quoted decimal comma": (H + '0,"500,0",21\n', 2, "gauge", "use a decimal point"),
    "semicolons under commas": (H + "0;500;21\n", 2, None, "separate its cells like those of the header"),
    "grouped digits": (H + "0,1 000,21\n", 2, "gauge", "groups its digits; type them together, such as 1000"),
    "grouped and comma": ("elapsed [s];gauge [mbar]\n0;1.234,5\n", 2, "gauge", "more than one separator"),
    "empty gauge": (H + "0,,21\n", 2, "gauge", "the cell is empty"),
    "empty elapsed": (H + ",500,21\n", 2, "elapsed", "the cell is empty"),
    "empty time": (T + ",500\n", 2, "time", "the cell is empty"),
    "nan": (H + "0,nan,21\n", 2, "gauge", "not a number that can be read"),
    "infinity": (H + "0,Infinity,21\n", 2, "gauge", "not a number that can be read"),
    "overflow": (H + "0,1e999,21\n", 2, "gauge", "too large"),
    "very long number": (H + f"0,{'9' * 400},21\n", 2, "gauge", "400 characters long"),
    "unit in a cell": (H + "0,500 mbar,21\n", 2, "gauge", 'has "mbar" after its number'),
    "word in a cell": (H + "0,500,warm\n", 2, "air", "does not start with a number"),
    "digits of another script": (H + "0,５００,21\n", 2, "gauge", "digits 0 to 9"),
    "hidden character in a cell": (H + "0,500\u200b,21\n", 2, "gauge", "after its number"),
    "time repeated": (H + "0,500,21\n0,499,21\n", 3, "elapsed", "is the same as the time in line 2"),
    "time going back": (H + "60,500,21\n\n0,499,21\n", 4, "elapsed", "is before the time in line 2"),
    "clock going back": (
        T + "2031-05-04T18:30:00+02:00,500\n2031-05-04T17:30:00+02:00,499\n",
        3,
        "time",
        "is before the time in line 2",
    ),
    "offset hides the step back": (
        T + "2031-05-04T18:30:00+02:00,500\n2031-05-04T18:31:00+03:00,499\n",
        3,
        "time",
        "is before the time in line 2",
    ),
    "negative elapsed": (H + "-1,500,21\n", 2, "elapsed", "count from 0"),
    "time without offset": (T + "2031-05-04T18:30:00,500\n", 2, "time", "has no offset"),
    "time without seconds": (T + "2031-05-04T18:30,500\n", 2, "time", "has no offset"),
    "time of day only": (T + "18:30:00,500\n", 2, "time", "not a date and time"),
    "day that is not": (T + "2031-02-30T18:30:00Z,500\n", 2, "time", "not a date in the calendar"),
    "hour that is not": (T + "2031-02-03T25:30:00Z,500\n", 2, "time", "not a date in the calendar"),
    "time before 1970": (T + "1931-02-03T05:30:00Z,500\n", 2, "time", "not a date in the calendar"),
    "week date": (T + "2031-W05-1T05:30:00Z,500\n", 2, "time", "not a date and time"),
    "header again": (H + "0,500,21\n" + H, 3, "elapsed", "the header stands here again"),
    "kelvin under celsius": (H + "0,500,294.3\n", 2, "air", "outside -60 °C to 100 °C"),
    "kPa under hPa": ("elapsed [s],gauge [mbar],barometer [hPa]\n0,500,101.3\n", 2, "barometer", "outside 300 hPa"),
    "mbar under bar": ("elapsed [s],gauge [bar]\n0,497.5\n", 2, "gauge", "outside -1.1 bar to 100 bar"),
    "bar under mbar": (
        "elapsed [s],gauge [mbar]\n0,0.4975\n60,0.4974\n",
        None,
        "gauge",
        r"never exceeds 0.4975 mbar; if its numbers are bar \(497.5 mbar\), head it gauge \[bar\]",
    ),
    "negative absolute": ("elapsed [s],absolute [kPa]\n0,-5\n", 2, "absolute", r"is the column gauge \[kPa\]"),
    "zero absolute": ("elapsed [s],absolute [kPa]\n0,0\n", 2, "absolute", "at or below 0"),
    "below vacuum": (H + "0,-1200,21\n", 2, "gauge", "outside -1100 mbar"),
    "unclosed quote": (H + '0,500,"21\n60,499,21\n', 2, None, "not closed"),
    "text after a quote": (H + '0,"500"x,21\n', 2, None, "not closed on its line, or text follows"),
    "NUL": (H + "0,5\x0000,21\n", 2, None, "NUL"),
    "lone carriage returns": (H.replace("\n", "\r") + "0,500,21\r", 1, None, "carriage return"),
    "carriage return in a row": (H + "0,500,\r21\n", 2, None, "carriage return"),
    "line without end": (H + "0,500," + "2" * 70_000, 2, None, "longer than 65536"),
    "UTF-16 with mark": (H.encode("utf-16"), 1, None, "UTF-16, not UTF-8"),
    "UTF-16 big end first": (b"\xfe\xff" + H.encode("utf-16-be"), 1, None, "UTF-16, not UTF-8"),
    "UTF-16 without mark": (H.encode("utf-16-le"), 1, None, "looks like UTF-16"),
    "UTF-32": (H.encode("utf-32"), 1, None, "UTF-32, not UTF-8"),
    "Windows-1252": (("elapsed [s],gauge [mbar],air [°C]\n").encode("cp1252"), 1, None, "byte 0xB0 after"),
    "Latin-1 note": ("elapsed [s],gauge [mbar],note\n0,500,für\n".encode("latin-1"), 2, None, "byte 0xFC after"),
    "a picture": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", 1, None, "byte 0x89 is not UTF-8"),
    "misspelt setting": ("# volme: 1.2 L\n" + H, 1, "volme", "is volume meant"),
    "setting in the plural": ("# gauge steps: 0.1 mbar\n" + H, 1, "gauge steps", "is gauge step meant"),
    "setting with more words": ("# loop volume: 1.2 L\n" + H, 1, "loop volume", "is volume meant"),
    "setting without unit": (H + "0,500,21\n# volume: 1.2\n", 3, "volume", "has no unit"),
    "setting with a wrong unit": ("# limit: 1 sccm\n" + H, 1, "limit", "standard conditions"),
    "empty setting": ("# volume:\n" + H, 1, "volume", "nothing was typed"),
    "setting twice": ("# volume: 1 L\n# volume: 1 L\n" + H, 2, "volume", "stands in line 1 already"),
    "step of nothing": ("# gauge step: 0 mbar\n" + H, 1, "gauge step", "not above 0"),
    "air step as a temperature": ("# air step: 0.1 bar\n" + H, 1, "air step", "unit of"),
    "negative swing": ("# room swing: -1 K\n" + H, 1, "room swing", "outside"),
    "settle in words": ("# settle: soon\n" + H, 1, "settle", "does not start with a number"),
    "outcome that is none": ("# outcome: good\n" + H, 1, "outcome", "one of pass, fail"),
    "a head by its old name": ("# verdict: pass\n" + H, 1, "verdict", "renamed: write outcome"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_names_line_and_field_and_what_to_do(name: str) -> None:
    data, line, field, says = BAD[name]
    with pytest.raises(FileError, match=says) as caught:
        read_hold(data.encode() if isinstance(data, str) else data)
    message = str(caught.value)
    assert (caught.value.line, caught.value.field) == (line, field)
    assert clean(message) == message, "one line, no hidden characters"
    assert len(message) < 400
    assert line is None or message.startswith(f"line {line}")


def test_there_are_at_least_forty() -> None:
    assert len(BAD) >= 40


def test_a_file_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="cannot be read: No such file"):
        read_hold(tmp_path / "missing.csv")
    with pytest.raises(FileError, match="cannot be read"):
        read_hold(tmp_path)
    with pytest.raises(FileError, match="cannot be read"):
        read_hold("a\x00b")


def test_a_file_without_end_is_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(hold_csv, "MOST_ROWS", 5)
    with pytest.raises(FileError, match="line 7: the file has more than 5 rows"):
        read_hold(["elapsed [s],gauge [mbar]", *(f"{i},500" for i in range(1_000))])

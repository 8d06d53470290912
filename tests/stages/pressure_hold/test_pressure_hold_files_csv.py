"""Hold files that are read: every spelling of the format, in SI, with nothing left out or filled in."""

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.errors import FileError
from commission.base.frozen import replace
from commission.base.text import clean
from commission.base.verdict import Outcome
from commission.stages.pressure_hold.files.hold_csv import HoldFile, read_hold

PLAIN = b"elapsed [s],gauge [mbar],air [degC],barometer [hPa],note\n0,500.0,21.3,1013.2,\n60,499.9,,,door open\n"


def test_a_plain_file_is_read_in_si() -> None:
    hold = read_hold(PLAIN)
    assert list(hold.series.elapsed_s) == [0.0, 60.0]
    assert list(hold.series.pressure_pa) == pytest.approx([50_000.0, 49_990.0])
    assert hold.series.air_k[0] == pytest.approx(294.45)
    assert math.isnan(hold.series.air_k[1])
    assert hold.series.barometer_pa[0] == pytest.approx(101_320.0)
    assert math.isnan(hold.series.barometer_pa[1])
    assert hold.notes == ((60.0, "door open"),)
    assert (hold.absolute, hold.unit) == (False, "mbar")
    assert hold.gauge_step_pa == pytest.approx(10.0)
    assert hold.air_step_k == pytest.approx(0.1)
    assert hold.barometer_step_pa == pytest.approx(10.0)


def _read(data: bytes) -> HoldFile | str:
    """Return the hold, or the message that refuses it."""
    try:
        return read_hold(data)
    except FileError as error:
        return str(error)


def _same(one: HoldFile, other: HoldFile) -> bool:
    return repr((one.series, one.settings, one.notes)) == repr((other.series, other.settings, other.notes))


@pytest.mark.parametrize(
    "changed",
    [
        PLAIN.replace(b"\n", b"\r\n"),
        b"\xef\xbb\xbf" + PLAIN,
        PLAIN.removesuffix(b"\n"),
        PLAIN.replace(b",", b" , "),
        PLAIN.replace(b",", b";"),
        PLAIN.replace(b",", b";").replace(b".", b","),
        PLAIN.replace(b"gauge [mbar]", b"Gauge[ hPa ]"),
        PLAIN.replace(b"500.0", b'"500.0"').replace(b"door open", b'"door open"'),
        PLAIN.replace(b"500.0", b"5.000e2"),
        PLAIN.replace(b"500.0", b"+0500.0"),
        b"\n" + PLAIN.replace(b"\n", b"\n\n"),
        PLAIN + b",,,,\n",
    ],
    ids=["crlf", "bom", "no-last-end", "blanks", "semicolon", "decimal-comma", "case-and-hpa", "quoted", "exponent",
         "padded", "blank-lines", "row-of-blanks"],
)  # fmt: skip
def test_the_same_hold_written_another_way_is_the_same(changed: bytes) -> None:
    assert _same(read_hold(changed), read_hold(PLAIN))


def test_free_comment_lines_change_no_reading_and_are_notes() -> None:
    read = read_hold(b"# measured on the bench, no hurry\n" + PLAIN + b"# end\n")
    assert _same(replace(read, notes=read_hold(PLAIN).notes), read_hold(PLAIN))
    assert (read.head, read.notes) == (("measured on the bench, no hurry",), ((60.0, "door open"), (60.0, "end")))


def test_a_path_bytes_and_lines_give_the_same(tmp_path: Path) -> None:
    path = tmp_path / "hold one.csv"
    path.write_bytes(PLAIN)
    assert _same(read_hold(path), read_hold(PLAIN))
    assert _same(read_hold(str(path)), read_hold(PLAIN))
    assert _same(read_hold(PLAIN.decode().splitlines(keepends=True)), read_hold(PLAIN))
    assert _same(read_hold(iter(PLAIN.splitlines())), read_hold(PLAIN))


def test_columns_may_stand_in_any_order_and_unit() -> None:
    hold = read_hold(b"note,barometer [inHg],air [F],gauge [psi],elapsed [h]\n,29.92,70,7.25,0\nx,29.92,70,7.24,0.5\n")
    # NIST SP 811 B.8: 1 psi = 6.894757e3 Pa, 1 inHg (conventional) = 3.386389e3 Pa; 70 °F = 21.111 °C
    assert hold.series.pressure_pa[0] == pytest.approx(7.25 * 6894.757, rel=1e-6)
    assert hold.series.barometer_pa[0] == pytest.approx(29.92 * 3386.389, rel=1e-6)
    assert hold.series.air_k[0] == pytest.approx(294.2611, abs=1e-4)
    assert list(hold.series.elapsed_s) == [0.0, 1800.0]
    assert hold.gauge_step_pa == pytest.approx(68.94757, rel=1e-6)


def test_absolute_pressure_needs_no_barometer() -> None:
    hold = read_hold(b"elapsed [min],absolute [kPa]\n0,151.32\n10,151.31\n")
    assert hold.absolute
    assert hold.series.pressure_pa[1] == pytest.approx(151_310.0)
    assert hold.gauge_step_pa == pytest.approx(10.0)
    assert hold.air_step_k is None
    assert hold.barometer_step_pa is None


def test_times_with_offsets_become_time_since_the_first() -> None:
    # RFC 3339, 5.8: the same instant may be written with any offset; 1985-04-12T23:20:50.52Z is its first example,
    # and 1996-12-19T16:39:57-08:00 its second, equal to 1996-12-20T00:39:57Z. Seconds since 1970 by GNU date.
    hold = read_hold(
        b"time,gauge [mbar]\n1985-04-12T23:20:50.52Z,500\n1996-12-19T16:39:57-08:00,499\n1996-12-20T00:39:58z,498\n"
    )
    assert hold.series.elapsed_s[2] - hold.series.elapsed_s[1] == pytest.approx(1.0)
    assert hold.series.elapsed_s[1] == pytest.approx(851_042_397 - 482_196_050.52)


def test_comments_set_what_the_options_would() -> None:
    hold = read_hold(
        "# volume: 1,2 L ± 5 %\n# limit: 1e-2 mbar·L/s\n# gauge step: 0.1 mbar\n#air-step: 0.1 K\n"
        "elapsed [s],gauge [mbar]\n# Barometer Step: 0.1 hPa\n# room swing = 1.5 K\n0,500\n# settle: 15 min,,\n1,499\n"
        '"# outcome: pass",\n'.encode()
    ).settings
    assert hold.volume is not None
    assert hold.volume.si == pytest.approx(1.2e-3)
    assert hold.volume.typed == "1,2 L ± 5 %"
    assert hold.u_volume_m3 == pytest.approx(0.06e-3 / 2)  # JCGM 100:2008, 6.3.3: ± is 95 %
    given_si = [s and s.si for s in (hold.limit, hold.gauge_step, hold.air_step, hold.barometer_step, hold.room_swing)]
    assert given_si == pytest.approx([1e-3, 10.0, 0.1, 10.0, 1.5])
    assert hold.settle is not None
    assert hold.settle.si == 900.0
    assert hold.outcome is Outcome.PASS


def test_settling_may_be_left_to_the_judge() -> None:
    assert read_hold(b"# settle: auto\nelapsed [s],gauge [mbar]\n0,500\n").settings.settle is None


@pytest.mark.parametrize(
    "comment", ["# gauge: dial, 0 to 1 bar", "# note: see page 3", "#", "# 12:30 pumped up", "# http://x", "# air: dry"]
)
def test_free_text_stays_free(comment: str) -> None:
    assert read_hold(f"{comment}\nelapsed [s],gauge [mbar]\n0,500\n".encode()).settings.volume is None


def test_escape_sequences_in_notes_are_spelled_out() -> None:
    hold = read_hold(b"elapsed [s],gauge [mbar],note\n0,500,\x1b[2J[b]red\n")
    assert hold.notes == ((0.0, "\\u001b[2J[b]red"),)


def test_quotes_and_separators_inside_a_quoted_note_are_kept() -> None:
    hold = read_hold(b'elapsed [s],gauge [mbar],note\n0,500,"the ""upper"" fitting, left"\n')  # RFC 4180, 2.7
    assert hold.notes == ((0.0, 'the "upper" fitting, left'),)


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=300) | st.text(max_size=200).map(lambda t: t.encode("utf-8", "surrogatepass")))
def test_any_bytes_are_refused_with_one_line_and_never_crash(junk: bytes) -> None:
    for data in (junk, b"elapsed [s],gauge [mbar],note\n" + junk, PLAIN + junk):
        hold = _read(data)
        if isinstance(hold, str):
            assert hold
            assert clean(hold) == hold
        else:
            assert len(hold.series.elapsed_s) == len(hold.series.pressure_pa) == len(hold.series.air_k) > 0


CELL = st.text(alphabet='0123456789.,;:+-eE"#\r\x00nai T', max_size=12)


@settings(max_examples=300, deadline=None)
@given(st.lists(st.lists(CELL, min_size=1, max_size=4), max_size=5), st.sampled_from([",", ";"]))
def test_any_rows_give_rising_finite_readings_or_one_line(rows: list[list[str]], separator: str) -> None:
    head = separator.join(["elapsed [s]", "gauge [mbar]", "note"])
    text = "\n".join([head, *(separator.join(row) for row in rows)])
    hold = _read(text.encode())
    if isinstance(hold, str):
        assert clean(hold) == hold
        return
    series = hold.series
    assert all(math.isfinite(p) for p in series.pressure_pa)
    assert all(a < b for a, b in zip(series.elapsed_s, series.elapsed_s[1:], strict=False))


def test_readings_are_held_as_columns_and_not_as_rows() -> None:
    import tracemalloc

    lines = (f"{i},{500 - i * 1e-5:.2f},21.3,1013.2," for i in range(20_000))
    rows = iter(["elapsed [s],gauge [mbar],air [degC],barometer [hPa],note", *lines])
    tracemalloc.start()
    try:
        hold = read_hold(rows)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert len(hold.series.elapsed_s) == 20_000
    assert peak < 4e6  # four columns of eight bytes are 0.64 MB; the text alone would be 0.6 MB


def test_a_line_of_blanks_is_no_trap() -> None:
    """Patterns that try every split of a run of blanks would need hours for this."""
    with pytest.raises(FileError, match="3 cells"):
        read_hold(b"elapsed [s],gauge [mbar],air [degC],note\n" + b" " * 60_000 + b"x,1,2\n")
    with pytest.raises(FileError, match="not known"):
        read_hold(b"elapsed [s],gauge [mbar],a" + b" " * 60_000 + b"b\n0,1,2\n")
    with pytest.raises(FileError):
        read_hold(b"# volume" + b" " * 60_000 + b"x\n")


PLAIN_NUMBER = st.decimals(-50, 900, places=2).map(str) | st.integers(0, 900).map(str)


@settings(deadline=None)
@given(st.lists(st.tuples(PLAIN_NUMBER, st.just("") | st.decimals(-20, 60, places=1).map(str)), min_size=1, max_size=5))
def test_a_row_taken_apart_in_one_go_gives_what_its_cells_give(rows: list[tuple[str, str]]) -> None:
    """A quoted cell sends a row the careful way; both ways must agree to the last bit."""
    head = "elapsed [s],gauge [mbar],air [degC]\n"
    quick = head + "".join(f"{i},{gauge},{air}\n" for i, (gauge, air) in enumerate(rows))
    careful = head + "".join(f'{i},"{gauge}",{air}\n' for i, (gauge, air) in enumerate(rows))
    one, other = _read(quick.encode()), _read(careful.encode())
    assert repr(one) == repr(other)

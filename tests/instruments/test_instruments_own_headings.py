"""A table whose columns have headings of its own gives what the same table under ours gives."""

from pathlib import Path

import pytest

from commission.base.errors import FileError, InputError
from commission.base.frozen import replace
from commission.base.own_headings import read_own_headings
from commission.bench.named_file import read_as_kept
from commission.instruments.header_row import HeaderRow
from commission.stages.fan_headers.files.sweep_csv import read_sweep
from commission.stages.pressure_hold.files.hold_csv import read_hold
from commission.stages.thermal_soak.files.soak_csv import read_soak
from tests.holds import GAUGE
from tests.shell.running import SAMPLES, called, one_line

OURS = "# volume: 1 L +- 1 %\nelapsed [min],gauge [mbar],air [degC]\n"
THEIRS = '# volume: 1 L +- 1 %\nBench logger, room 2\n"Nr","t [min]","P, loop [mbar]","T","Text"\n'
NAMES = 'elapsed=t, "gauge=P, loop [mbar]", air=T [degC]'
SWEEP = "duty=Stellgrad [%], speed=U/min [rpm], direction=direction, sample=sample"
RAILS = "plug=Stecker, connector=Art, rail=Schiene, voltage=Spannung [V], load=load"
ROWS = [(minute, f"{500 - minute * 0.05:.2f}", "21.0") for minute in range(0, 61, 2)]


def ours() -> str:
    return OURS + "".join(f"{','.join(map(str, row))}\n" for row in ROWS)


def theirs() -> str:
    return THEIRS + "".join(f'{n},{t},{p},{air},"said 5, {n}"\n' for n, (t, p, air) in enumerate(ROWS))


def test_the_same_hold_under_other_headings_gives_the_same_readings_and_verdict(tmp_path: Path) -> None:
    assert repr(read_hold(theirs().encode(), columns=NAMES)) == repr(read_hold(ours().encode()))
    files = tmp_path / "ours.csv", tmp_path / "theirs.csv"
    for path, text in zip(files, (ours(), theirs()), strict=True):
        path.write_text(text, encoding="utf-8")
    plain = called("judge", "hold", str(files[0]))
    named = called("judge", "hold", str(files[1]), "--columns", NAMES)
    assert (named.status, named.err) == (plain.status, "")
    assert f"columns: {NAMES}" in named.lines
    other = [line for line in named.lines if not line.startswith(("columns: ", "file: "))]
    assert other == [line for line in plain.lines if not line.startswith("file: ")]


def test_an_instrument_keeps_them_and_what_is_fed_by_its_name_is_stored_and_proven(tmp_path: Path) -> None:
    book = tmp_path / "bench.logbook"
    kept = called("instrument", "digital gauge", "--face", "digital", "--name", "P2", "--columns", NAMES, logbook=book)
    assert NAMES in kept.out
    how = ("feed", "--build", "Desk loop", "--new", "--source", "hose off", "--began", "2026-03-14T20:00+01:00")
    wrong = called(*how, "--columns", "P3", text=theirs(), logbook=book)
    assert "P3" in one_line(wrong.err)
    fed = called(*how, "--columns", "p2", text=theirs(), logbook=book)
    assert (fed.status, len(fed.lines)) == (0, len(ROWS))
    again = called("feed", "--build", "Desk loop", "--columns", "P2", text=theirs(), logbook=book)
    assert again.lines[-1] == f"already stored {len(ROWS)}"
    verified = called("verify", logbook=book)
    assert (verified.status, verified.err) == (0, "")


def test_a_soak_is_read_under_other_headings() -> None:
    rows = "0;22,5;22;30\n60;24,1;22;55\n"
    named = read_soak(
        f"Bench\nt;W;A;C1\n{rows}".encode(), "elapsed=t [s], warm=W [degC], air=A [degC], component cpu=C1 [degC]"
    )
    assert named == read_soak(f"elapsed [s];warm [degC];air [degC];component cpu [degC]\n{rows}".encode())


@pytest.mark.parametrize(
    ("names", "header", "said"),
    [
        (
            "gauge=Druck [mbar], time=Zeit",
            "Zeit;Druck [bar]",
            r'field "gauge": the file heads it \[bar\], not \[mbar\]',
        ),
        ("gauge=Druck [mbar], time=Zeit", "Zeit;Druck;Druck", "stands twice"),
        ("pressure=Druck [mbar], time=Zeit", "Zeit;Druck", "the column is not known"),
        ("gauge=Druck, time=Zeit", "Zeit;Druck", "the column has no unit"),
        ("gauge=Druck [mbar], time=Zeit", "Uhr;Druck", '"Zeit" was not found'),
    ],
)
def test_what_does_not_fit_is_said_in_one_line(names: str, header: str, said: str) -> None:
    with pytest.raises(FileError, match=said):
        read_hold(f"{header}\n2026-03-14T20:00:00+01:00;500\n".encode(), columns=names)


@pytest.mark.parametrize("typed", ["time", "=Zeit", "time=", "time=[s]", ",", "a=b, a=c", "ti;me=Zeit", '"time=Zeit'])
def test_what_names_no_column_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match=r"such as time=Zeit|stands twice"):
        read_own_headings(typed)


def test_a_header_row_that_never_comes_is_not_waited_for_without_end() -> None:
    row = HeaderRow("gauge=Druck [mbar]")
    with pytest.raises(FileError, match=r'"Druck \[mbar\]" was not found'):
        list(map(row.take, ["12;13"] * 1_000, range(1_000)))


@pytest.mark.parametrize(
    ("what", "file", "heads", "names"),
    [
        ("sweep", "sweeps/bottom-no-tach.csv", ("duty [%],speed [rpm]", "Stellgrad [%],U/min"), SWEEP),
        (
            "rails",
            "rails/all-within.csv",
            ("plug,connector,rail,voltage [V]", "Stecker,Art,Schiene,Spannung [V]"),
            RAILS,
        ),
    ],
)
def test_sweeps_and_voltages_are_read_under_other_headings_typed_or_as_an_instrument_keeps_them(
    tmp_path: Path, what: str, file: str, heads: tuple[str, str], names: str
) -> None:
    ours = SAMPLES / file
    theirs, book = tmp_path / "theirs.csv", tmp_path / "bench.logbook"
    theirs.write_text(ours.read_text("utf-8").replace(*heads), encoding="utf-8")
    plain = called("judge", what, str(ours))
    assert called("judge", what, str(theirs)).status == 2
    assert called("instrument", "digital gauge", "--name", "board", "--columns", names, logbook=book).status == 0
    for columns in (names, "board"):
        named = called("judge", what, str(theirs), "--columns", columns, logbook=book)
        assert (named.status, named.err) == (plain.status, "")
        assert [line for line in named.lines if not line.startswith("file: ")] == [
            line for line in plain.lines if not line.startswith("file: ")
        ]
    if what == "rails":
        assert called("open", "Desk loop", logbook=book).status == 0
        assert called("power", "supply", "Desk loop", "Larkspur 850 ATX2", "--made", "none", logbook=book).status == 0
        stored = called("power", what, "Desk loop", str(theirs), logbook=book)
        assert "understood: 8 voltages at main 24-pin" in stored.out, stored.err


def test_a_table_that_fits_neither_our_headings_nor_kept_ones_is_refused_by_ours(tmp_path: Path) -> None:
    path = tmp_path / "other.csv"
    path.write_text("Stellgrad;U/min\n100;1500\n", encoding="utf-8")
    kept = (replace(GAUGE, columns=NAMES), replace(GAUGE, columns=SWEEP.replace("U/min", "Drehzahl")))
    with pytest.raises(FileError, match='"Stellgrad" is not a column'):
        read_as_kept(kept, lambda named: read_sweep(path, columns=named))
    right = (*kept, replace(GAUGE, columns="duty=Stellgrad [%], speed=U/min [rpm]"))
    assert read_as_kept(right, lambda named: read_sweep(path, columns=named)).sweep.readings[0].rpm == 1500

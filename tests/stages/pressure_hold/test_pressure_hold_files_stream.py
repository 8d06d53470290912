"""Readings that come line by line: a bad line changes nothing, and the same lines give what the file gives."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from commission.base.errors import FileError
from commission.base.text import clean
from commission.stages.pressure_hold.files.hold_csv import HoldStream, Sample, read_hold
from commission.stages.pressure_hold.files.settings import Comment
from tests.strategies import ANY_TEXT, TYPED


def _stream(*lines: str | bytes) -> tuple[HoldStream, list[Sample | Comment | None]]:
    stream = HoldStream()
    return stream, [stream.push(line) for line in lines]


def _refusal(stream: HoldStream, line: str | bytes) -> FileError | None:
    try:
        stream.push(line)
    except FileError as error:
        return error
    return None


def test_lines_without_time_are_left_for_the_caller_to_stamp() -> None:
    stream, taken = _stream("gauge [mbar],air [degC]\n", "497.5,21.3\n", "497.4,\n")
    assert taken[0] is None
    first, second = taken[1], taken[2]
    assert isinstance(first, Sample)
    assert isinstance(second, Sample)
    assert (first.elapsed_s, first.at_ms, first.note, first.typed) == (None, None, "", "497.5,21.3")
    assert first.pressure_pa == pytest.approx(49_750.0)
    assert first.air_k == pytest.approx(294.45)
    assert second.air_k is None
    assert stream.header is not None
    assert not stream.header.timed


def test_bytes_and_text_with_any_line_end_are_taken() -> None:
    stream, taken = _stream(b"\xef\xbb\xbfelapsed [s];gauge [bar]\r\n", "0;0,5\r\n", b"1;0,4\n", "2;0,3")
    values = [t.pressure_pa for t in taken if isinstance(t, Sample)]
    assert values == pytest.approx([50_000.0, 40_000.0, 30_000.0])
    assert stream.line == 4


def test_comments_give_settings_as_they_come() -> None:
    stream, taken = _stream("# volume: 1.2 L", "# shop two", "gauge [mbar]", "# limit: 1e-2 mbar·L/s")
    comments = [t for t in taken if isinstance(t, Comment)]
    assert [(c.key, c.text) for c in comments] == [
        ("volume", "volume: 1.2 L"),
        (None, "shop two"),
        ("limit", "limit: 1e-2 mbar·L/s"),
    ]
    assert stream.settings.volume is not None
    assert stream.settings.limit is not None


def test_a_bad_row_changes_nothing() -> None:
    stream, _ = _stream("elapsed [s],gauge [mbar]", "0,500.0")
    bad: list[str | bytes] = [
        "5,",
        "5,nan",
        "999999,1e9",
        "x",
        "5,500,1",
        "5,500.00 mbar",
        "0,500",
        b"5,\xff",
        "5,\x00",
    ]
    for line in bad:
        with pytest.raises(FileError):
            stream.push(line)
    sample = stream.push("1,499.9")
    assert isinstance(sample, Sample)
    assert sample.elapsed_s == 1.0
    assert stream.line == 2 + len(bad) + 1
    assert max(stream.decimals.values()) == 1, "digits of a refused row do not count"


def test_a_bad_header_may_be_sent_again() -> None:
    stream = HoldStream()
    with pytest.raises(FileError, match='line 1, field "gauge"'):
        stream.push("gauge")
    assert stream.push("gauge [mbar]") is None
    assert isinstance(stream.push("500"), Sample)


def test_the_header_sent_again_is_refused_and_the_next_row_is_taken() -> None:
    stream, _ = _stream("gauge [mbar]", "500")
    with pytest.raises(FileError, match="the header stands here again"):
        stream.push("gauge [mbar]")
    assert isinstance(stream.push("499"), Sample)


@settings(max_examples=200, deadline=None)
@given(st.lists(ANY_TEXT | TYPED | st.binary(max_size=40), max_size=6))
def test_any_lines_are_taken_or_refused_and_the_stream_stays_usable(lines: list[str | bytes]) -> None:
    stream = HoldStream()
    stream.push("time,gauge [mbar],note")
    for line in lines:
        refused = _refusal(stream, line)
        if refused is not None:
            assert clean(str(refused)) == str(refused)
            assert refused.line == stream.line
    sample = stream.push("2999-01-01T00:00:00Z,500,end")
    assert isinstance(sample, Sample)
    assert sample.note == "end"


def test_a_stream_cut_at_any_place_spoils_only_its_last_line() -> None:
    whole = b"# volume: 1.2 L\r\nelapsed [s],gauge [mbar],air [degC]\r\n0,500.0,21.3\r\n60,499.9,21.3\r\n"
    for end in range(len(whole) + 1):
        stream = HoldStream()
        taken = [_refusal(stream, line) for line in whole[:end].splitlines(keepends=True)]
        assert not any(taken[:-1]), "only the last line can be cut"
        if end == len(whole):
            assert len(read_hold(whole).series.elapsed_s) == 2

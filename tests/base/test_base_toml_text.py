"""TOML is bounded before it is parsed, and what is within the bounds is read as the standard library reads it."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from commission.base.errors import FileError
from commission.base.toml_text import DEEPEST, LONGEST_TEXT, LONGEST_TOKEN, MOST_PARTS, read_toml
from commission.procedure.load import default_toml

WILD = {
    "dotted keys": ("a." * 10_000 + "a = 1", "has 10001 parts"),
    "dots between quotes": ('"a" . "b" . "c" . "d" . "e" = 1', "has 5 parts"),
    "a dotted table": ("[a.b.c.d.e]", "has 5 parts"),
    "dots in an inline table": ("x = {a.b.c.d.e = 1}", "has 5 parts"),
    "a long key": ("k" * (LONGEST_TOKEN + 1) + " = 1", "longer than 120"),
    "a long number": ("x = " + "9" * 5000, "longer than 120"),
    "a long number of base 16": ("x = 0x" + "F" * 5000, "longer than 120"),
    "a long text": ('x = "' + "y" * LONGEST_TEXT + '"', "longer than 10000"),
    "a text without end": ('x = "' + "y" * LONGEST_TEXT, "longer than 10000"),
    "deep lists": ("x = " + "[" * (DEEPEST + 1) + "]" * (DEEPEST + 1), "nested more than 8"),
    "deep tables": ("x = " + "{a = " * 20 + "1" + "}" * 20, "nested more than 8"),
    "a large file": ("#" * 20_001, "longer than 20000"),
    "no TOML": ("x = ", "it is no TOML"),
    "after a comment": ("# a.b.c.d.e 'not\n[a.b.c.d.e]", "line 2: "),
    "after a text": ("x = '''\n#[a.b.c.d.e\n'''\n[a.b.c.d.e]", "line 4: "),
}


@pytest.mark.parametrize("what", WILD)
def test_a_wild_file_is_one_line(what: str) -> None:
    text, said = WILD[what]
    with pytest.raises(FileError) as refused:
        read_toml(text, most=20_050 if what != "a large file" else 20_000)
    assert said in str(refused.value)
    assert len(str(refused.value)) < 200
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize(
    "text",
    [
        ".".join("a" * MOST_PARTS) + " = 1",
        "x = " + "[" * DEEPEST + "]" * DEEPEST,
        "k" * LONGEST_TOKEN + " = 1.5",
        'x = "' + "a.b.c.d.e.f" * 10 + '"  # a.b.c.d.e.f',
        "x = [1.5, 2.5, 3.5, 4.5, 5.5, 6.5]\ny = 1979-05-27T07:32:00.999999-07:00",
        'x = \'\'\'it\'s a \'\' b\'\'\'\ny = """he said \\"\\"\\" "" """\nz = "\\\\"',
        default_toml(),
    ],
)
def test_what_is_within_the_bounds_is_read_as_the_standard_library_reads_it(text: str) -> None:
    assert read_toml(text, most=100_000) == tomllib.loads(text)


@given(st.text(alphabet="ab.=[]{},\"'#\n\\ 1", max_size=60))
def test_whatever_comes_it_is_refused_or_read_as_it_stands(text: str) -> None:
    try:
        found = read_toml(text, most=1000)
    except FileError:
        return
    assert found == tomllib.loads(text)

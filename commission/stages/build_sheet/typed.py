"""A part while it is typed: typical figures to start from, each changed by typing another."""

import re
from functools import reduce

from commission.base.errors import InputError
from commission.base.frozen import Frozen, field, replace
from commission.base.quantity import K95, Quantity
from commission.base.text import clean, clip
from commission.bench.ask import command, listed, one_of
from commission.bench.figures import half_width, pressure
from commission.bench.names import free_name
from commission.physics.detection import rectangular_uncertainty
from commission.procedure.model import TypicalPart
from commission.record.machine.parts import Material, Part, PartKind, in_words, tube_volume
from commission.units.chosen import bare_unit
from commission.units.parse import parse, parse_with_uncertainty
from commission.units.tables import BY_SPELLING
from commission.units.worded import worded

BORE_ERROR_M = 0.2e-3
"""Half-width of a tube's bore as sold [m]; our choice: what tubes are usually sold to."""
LENGTH_ERROR_M = 10e-3
"""Half-width of a tube's length, measured along a bend [m]; our choice: a tape along a bend."""
TYPED_ERROR = 0.10
"""Half-width of a volume that was typed without one [1]; our choice: data sheets round to about as much."""
MOST_AT_ONCE = 20
"""Most equal parts in one line [1]; our choice: a loop with more fittings of one kind is a slip of a digit."""
SIZE = "10 mm x 1,2 m, or 10/16 1,8 m"
"""How the size of a tube is typed."""

_SEVERAL = re.compile(r"(?:([0-9]{1,3})\s*[x×*]|([0-9]{1,2})(?=\s+[a-z]{3}))\s+(?=\D)(.+)", re.IGNORECASE)
_TUBE = re.compile(r"(.*?[0-9].*?)\s*[x×*]\s*(.+)", re.IGNORECASE)
_PAIR = re.compile(r"(?<![0-9.,])([0-9]+(?:[.,][0-9]+)?)\s*/\s*([0-9]+(?:[.,][0-9]+)?)(?:\s*mm\b)?")
_VOLUME = re.compile(r"(.*?\S)\s+([0-9][0-9.,]*\s*([A-Za-z]+)(?:\s*(?:±|\+/?-).*)?)")
INCH_FRACTIONS = ("1/4", "3/8", "1/2", "5/8", "3/4", "5/16", "7/16", "9/16")
"""What two figures of a tube may mean, too [inch]; common practice, no source: such bores are sold."""
THICKEST_WALL_MM = 5.0
"""Two figures of a tube that are farther apart are a slip [mm of wall]; our choice: the thickest sold is near 4."""
_COUNTED = re.compile(r"\d+\s*(?:[x×*]|(?=\s[a-z]{3}))\s+", re.IGNORECASE)
_TRADE = tuple(
    (re.compile(pattern, re.IGNORECASE), word)
    for pattern, word in (
        (r"(?<=[0-9])(?=mm\b)", " "),
        (r"\bwater\s?block", "block"),
        (r"^(rads?|radiators)\b", "radiator"),
        (r"^res\b", "reservoir"),
        (r"\bflow\s?sensor\b", "flow meter"),
    )
)
"""What people type for the words of the list of typical parts; common practice, no source."""
_SPLIT = re.compile(r"\s*[·;]\s*|,\s+")
_WORDS = {
    "name": "name top radiator: what it is called",
    "volume": "volume 320 mL ± 5 %: what it holds",
    "max": "max 0.8 bar: what it withstands, by its maker; or max unknown",
    "rating": "",
    "wetted": "wetted copper, nickel: what touches the coolant",
    "size": "size 10 mm x 1.2 m: a tube's inner diameter and length",
}
_METALS = {
    "aluminum": Material.BARE_ALUMINIUM,
    "aluminium": Material.BARE_ALUMINIUM,
    "bare aluminum": Material.BARE_ALUMINIUM,
    "anodized aluminum": Material.ANODISED_ALUMINIUM,
    "anodized aluminium": Material.ANODISED_ALUMINIUM,
    "steel": Material.STAINLESS_STEEL,
    "plexi": Material.ACRYLIC,
    "pmma": Material.ACRYLIC,
    "pom": Material.ACETAL,
    "epdm": Material.RUBBER,
}


_MATERIAL = "|".join(sorted({*_METALS, *map(str, Material)} - {str(Material.OTHER)}, key=len, reverse=True))
_MADE_OF = re.compile(rf"(?P<head>.*?\S),?\s+(?P<of>{_MATERIAL})", re.IGNORECASE)
_OF_TUBE = re.compile(rf"(?P<of>{_MATERIAL})\s+(?P<head>tube|tubing|hose)\s+(?P<rest>.+)", re.IGNORECASE)
_TUBE_OF = re.compile(rf"(?P<head>tube|tubing|hose)\s+(?P<of>{_MATERIAL})\s+(?P<rest>.+)", re.IGNORECASE)
_RATED = re.compile(r"(.*?\S),?\s+(?:max\s+)?([0-9][0-9.,]*\s*([A-Za-z]+))", re.IGNORECASE)


class PartDraft(Frozen):
    """One or several equal parts that are not stored yet."""

    kind: PartKind
    """What they are."""
    count: int = 1
    """How many equal ones."""
    name: str
    """What they are called; several get a number behind it."""
    volume_m3: float | None
    """Internal volume of one [m3]; None while it is not known."""
    u_volume_m3: float = 0.0
    """Its standard uncertainty [m3]."""
    max_gauge_pa: float | None
    """Highest gauge pressure [Pa]; None where nobody knows."""
    materials: tuple[Material, ...]
    """What touches the coolant."""
    assumed: frozenset[str] = frozenset({"volume", "rating", "wetted"})
    """Which figures are still the typical ones."""
    typed: tuple[str, ...] = field(default=())
    """What was typed."""
    corrects: str = ""
    """Id of the part that is described again; empty for a new one."""

    def parts(self, new_id: str, taken: frozenset[str], number: int = 1) -> Part:
        """Return one of the parts, under a name that is free."""
        assert self.volume_m3 is not None  # it is asked for before anything can be stored
        return Part(
            part_id=new_id,
            kind=self.kind,
            name=free_name(self.name if self.count == 1 else f"{self.name} {number}", taken),
            volume_m3=self.volume_m3,
            u_volume_m3=self.u_volume_m3,
            max_gauge_pa=self.max_gauge_pa,
            materials=self.materials,
            assumed=tuple(sorted(self.assumed)),
        )

    def corrected(self) -> Part:
        """Return the part that is described again, under its own id and the name as typed."""
        return replace(self.parts(self.corrects, frozenset()), name=self.name)

    def told(self) -> str:
        """Return the draft in one line."""
        volume = "volume not known" if self.volume_m3 is None else half_width(self.volume_m3, self.u_volume_m3)
        limit = "no rating" if self.max_gauge_pa is None else f"max {pressure(self.max_gauge_pa, 'bar')}"
        many = f"{self.count} × " if self.count > 1 else ""
        return f"{many}{self.name}: {volume}, {limit}, {', '.join(map(in_words, self.materials)) or 'wetted not known'}"


def draft_from(text: str, typical: tuple[TypicalPart, ...]) -> PartDraft:
    """Return a draft from ``radiator 360``, ``3 x radiator 240 mm``, ``reservoir 250 mL`` or ``tube 10/16 1,8 m``.

    Raises
    ------
    InputError
        If no kind of part, or more than one, is meant.
    """
    head, behind = _with_changes(text)
    if behind:
        return reduce(_changed, behind, draft_from(head, typical))
    count, wanted = _count(text)
    size = ""
    held = _VOLUME.fullmatch(wanted)
    if held is not None and held[3] in BY_SPELLING[Quantity.VOLUME]:
        return changed(draft_from(text[: text.rindex(held[2])], typical), f"volume {held[2]}")
    tube = re.match(r"(tube|tubing|hose)\b(?!\s+reservoir)\s*(.*)", wanted, re.IGNORECASE)
    if tube:
        wanted, size = "tube", tube[2]
    chosen = _typical(wanted, typical)
    draft = PartDraft(
        kind=PartKind(chosen.kind),
        count=count,
        name=chosen.name,
        volume_m3=None if tube else chosen.volume_m3,
        u_volume_m3=0.0 if tube else rectangular_uncertainty(chosen.spread_m3),
        max_gauge_pa=chosen.max_gauge_pa,
        materials=tuple(Material(m) for m in chosen.materials),
    )
    return _sized(draft, size) if size else draft


def _with_changes(text: str) -> tuple[str, list[str]]:
    """Part the name of a part from a rating and materials that stand on the same line, in front of a tube or behind.

    >>> _with_changes("reservoir 180 mL 0.6 bar acetal, acrylic")
    ('reservoir 180 mL', ['wetted acetal, acrylic', 'max 0.6 bar'])
    >>> _with_changes("epdm tube 10/13 2.5 m") == _with_changes("tube epdm 10/13 2.5 m")
    True
    """
    rated = _RATED.fullmatch(text.strip())
    if rated is not None and rated[3] in BY_SPELLING[Quantity.GAUGE_PRESSURE]:
        head, behind = _with_changes(rated[1])
        return head, [*behind, f"max {rated[2]}"]
    made = next((found for one in (_MADE_OF, _OF_TUBE, _TUBE_OF) if (found := one.fullmatch(text.strip()))), None)
    if made is None:
        return text, []
    named = made.groupdict()
    head, behind = _with_changes(f"{named['head']} {named.get('rest') or ''}".strip())
    before = behind.pop(0) + ", " if behind and behind[0].startswith("wetted ") else "wetted "
    return head, [f"{before}{named['of']}", *behind]


def another_part(draft: PartDraft, text: str, typical: tuple[TypicalPart, ...]) -> PartDraft | None:
    """Return the draft of the next part where a line names one in place of a change of this draft; None where not."""
    named = _COUNTED.sub("", text.strip())
    if draft.corrects or not named[:1].isalpha() or command(named, _WORDS)[0]:
        return None
    try:
        return draft_from(text, typical)
    except InputError:
        return None


def draft_of(part: Part) -> PartDraft:
    """Return the draft of a part that is described again."""
    return PartDraft(
        kind=part.kind,
        name=part.name,
        volume_m3=part.volume_m3,
        u_volume_m3=part.u_volume_m3,
        max_gauge_pa=part.max_gauge_pa,
        materials=part.materials,
        assumed=frozenset(part.assumed),
        corrects=part.part_id,
    )


def changed(draft: PartDraft, text: str) -> PartDraft:
    """Return the draft with what a line changes, each told by its word or by its unit.

    Several stand with ``, `` or ``·`` between them: ``315 mL ± 30 mL, max 0,8 bar, name top radiator``.

    Raises
    ------
    InputError
        If it cannot be told what is meant, or the value makes no sense.
    """
    for one in _changes(text):
        draft = _changed(draft, one)
    return draft


def _changes(text: str) -> list[str]:
    """Return what stands between the separators; more of a name, or more materials, stay with what they follow."""
    found: list[str] = []
    for one in _SPLIT.split(text):
        last = found[-1].split()[0].casefold().rstrip(":=") if found and found[-1] else ""
        listing = last[:1].isalpha() and last not in ("max", "rating", "volume", "size")
        if found and listing and not (one.split()[:1] and _begins(one)):
            found[-1] = f"{found[-1]}, {one}"
        else:
            found.append(one)
    return found


def _begins(one: str) -> bool:
    """Return whether a change begins here: by one of the words, or by an amount."""
    units = BY_SPELLING[Quantity.VOLUME].keys() | BY_SPELLING[Quantity.GAUGE_PRESSURE].keys()
    amount = re.match(r"[0-9][0-9.,]*\s*([^\s0-9]+)", one)
    return one.split(maxsplit=1)[0].casefold().rstrip(":=") in _WORDS or (amount is not None and amount[1] in units)


def _changed(draft: PartDraft, text: str) -> PartDraft:
    word, rest = command(text, _WORDS)
    draft = replace(draft, typed=(*draft.typed, text.strip()))
    match word or _kind_of(rest, draft):
        case "name" if rest:
            return replace(draft, name=rest[:80])
        case "size":
            return _sized(draft, rest)
        case "volume":
            return _with_volume(draft, rest)
        case "max" | "rating":
            return _with_rating(draft, rest)
        case "wetted":
            return replace(draft, materials=materials(rest), assumed=draft.assumed - {"wetted"})
        case _:
            raise InputError(
                worded(
                    f"{clip(text)} is no volume, pressure or material. Type such as 320 mL ± 5 %, 0.8 "
                    "bar, copper, or name and what it is called"
                )
            )


def materials(text: str) -> tuple[Material, ...]:
    """Return the materials in a line such as ``copper, nickel + acrylic``.

    Raises
    ------
    InputError
        If one is not known; the message lists those that are.
    """
    found = []
    for word in re.split(r"[,;+&/]|\band\b", text.casefold()):
        name = " ".join(word.split())
        if not name:
            continue
        known = {material: str(material) for material in Material}
        found.append(_METALS.get(name) or Material(one_of(name, {str(k): v for k, v in known.items()}, "material")))
    if not found:
        raise InputError(f"type what touches the coolant: {listed(list(Material))}")
    return tuple(dict.fromkeys(found))


def _count(text: str) -> tuple[int, str]:
    several = _SEVERAL.fullmatch(text.strip())
    if several is None:
        return 1, text.strip()
    count = int(several[1] or several[2])
    if not 1 <= count <= MOST_AT_ONCE:
        raise InputError(f"{count} parts at once are too many or too few; type 1 to {MOST_AT_ONCE}")
    return count, several[3].strip()


def _typical(wanted: str, typical: tuple[TypicalPart, ...]) -> TypicalPart:
    for pattern, word in _TRADE:
        wanted = pattern.sub(word, wanted)
    by_name = {part.name: part for part in typical}
    singular = wanted.casefold()[:-1] if wanted.casefold().endswith("s") and wanted != "fittings" else wanted
    kinds = [part for part in typical if part.kind in (wanted.casefold(), singular.casefold())]
    if len(kinds) == 1:
        return kinds[0]
    if kinds:
        raise InputError(f"there are several: type {listed([part.name for part in kinds])}")
    last = [part for part in typical if singular.casefold().split()[-1:] == [str(part.kind)]]
    if len(last) == 1 and last[0].kind != PartKind.OTHER:
        return replace(last[0], name=clean(wanted))
    if not any(singular.casefold() in name.casefold() for name in by_name):
        *named, other = list({part.kind: part.name for part in reversed(typical)}.values())[::-1]
        raise InputError(f"{clip(wanted)} is no part; such as {', '.join(named)}, or {other}")
    return by_name[one_of(singular, {name: name for name in by_name}, "part")]


def _kind_of(text: str, draft: PartDraft) -> str:
    """Return what a line without a word is: by its unit, or as a material."""
    if draft.kind is PartKind.TUBE and (_TUBE.fullmatch(text) or _PAIR.search(text)):
        return "size"
    spelling = re.sub(r"(±|\+/?-).*", "", text).strip().lstrip("0123456789.,+-").strip()
    if text[:1].isdecimal() and spelling in BY_SPELLING[Quantity.VOLUME]:
        return "volume"
    if text[:1].isdecimal() and spelling in BY_SPELLING[Quantity.GAUGE_PRESSURE]:
        return "max"
    if text[:1].isdecimal() or not text:
        return ""
    return "wetted"


def _with_volume(draft: PartDraft, text: str) -> PartDraft:
    value, u = parse_with_uncertainty(text, Quantity.VOLUME)
    u = TYPED_ERROR * value.si / K95 if u is None else u
    return replace(draft, volume_m3=value.si, u_volume_m3=u, assumed=draft.assumed - {"volume"})


def _with_rating(draft: PartDraft, text: str) -> PartDraft:
    if text.casefold() in ("unknown", "none", "?", "not known"):
        return replace(draft, max_gauge_pa=None, assumed=draft.assumed - {"rating"})
    value = parse(text, Quantity.GAUGE_PRESSURE)
    if value.si <= 0:
        raise InputError(worded("a rating must be above 0; type such as 0.8 bar, or max unknown"))
    return replace(draft, max_gauge_pa=value.si, assumed=draft.assumed - {"rating"})


def _sized(draft: PartDraft, text: str) -> PartDraft:
    bore, length = _bore_and_length(text.strip())
    if not 0 < bore < length:
        raise InputError(f"{clip(text)}: the length must be more than the bore; type such as {worded(SIZE)}")
    volume = tube_volume(bore, length)
    relative = ((2 * BORE_ERROR_M / bore) ** 2 + (LENGTH_ERROR_M / length) ** 2) ** 0.5
    return replace(
        draft,
        volume_m3=volume,
        u_volume_m3=rectangular_uncertainty(volume * min(relative, 0.9)),
        assumed=draft.assumed - {"volume"},
        typed=(*draft.typed, text.strip()),
    )


def _bore_and_length(text: str) -> tuple[float, float]:
    """Return bore and length of a tube [m], from two diameters or one and a length, in either order.

    Raises
    ------
    InputError
        If it is no size, or two diameters may be a fraction of an inch.

    Examples
    --------
    >>> [_bore_and_length(one) for one in ("10/16 1.8 m", "1.8 m 16/10", "10 mm x 1.8 m", "1.8 m x 10 mm")]
    [(0.01, 1.8), (0.01, 1.8), (0.01, 1.8), (0.01, 1.8)]
    """
    pair = _PAIR.search(text)
    if pair is not None:
        length = f"{text[: pair.start()]} {text[pair.end() :]}".strip().strip("x×* ")
        if not length:
            raise InputError(worded(f"{clip(text)}: how long is the tube? type such as 10/16 1,8 m"))
        return _inner(pair), parse(length, Quantity.LENGTH).si
    sizes = _TUBE.fullmatch(text)
    if sizes is None:
        raise InputError(f"{clip(text)} is no size of a tube; type inner diameter x length, such as {worded(SIZE)}")
    first, second = (one.strip() for one in sizes.groups())
    if first[-1:].isalpha() and second[-1:].isalpha():
        bore, length_m = sorted(parse(one, Quantity.LENGTH).si for one in (first, second))
        return bore, length_m
    return parse(first, Quantity.LENGTH, usual=bare_unit(Quantity.LENGTH, "mm")).si, parse(second, Quantity.LENGTH).si


def _inner(pair: re.Match[str]) -> float:
    """Return the bore of a tube that is named by both its diameters [m]: the smaller one."""
    typed = f"{pair[1]}/{pair[2]}"
    one, other = (float(size.replace(",", ".")) for size in pair.groups())
    if typed in INCH_FRACTIONS and not pair[0].endswith("mm"):
        raise InputError(
            worded(f"{typed} may be a part of an inch: type {one / other:g} in x 1.8 m, or {typed} mm 1.8 m")
        )
    if not 0 < abs(one - other) <= 2 * THICKEST_WALL_MM:
        raise InputError(worded(f"{typed} mm leaves no wall, or one that is too thick; type such as 10/16 1.8 m"))
    return min(one, other) / 1000

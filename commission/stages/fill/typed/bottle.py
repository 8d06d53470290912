"""A bottle while it is typed: what it is made of, its share with its basis, its size, and what the label adds."""

from commission.base.errors import InputError, refuse_longer
from commission.base.frozen import replace
from commission.base.quantity import Quantity
from commission.base.text import clip
from commission.bench.ask import change_of, date_of
from commission.bench.figures import volume
from commission.stages.fill.model.coolant import GLYCOLS, Basis, Bottle
from commission.stages.fill.typed.life import every_text, read_life
from commission.units.parse import parse
from commission.units.show import show

WORDS = {
    "name": "name NAME: what it is called here",
    "size": "size 1 L: what it holds when full",
    "share": "share 33 % by volume: of glycol",
    "density": "density 1.03 g/mL at 20 degC: by its data sheet, or weighed",
    "lot": "lot NAME: lot or batch on the label",
    "opened": "opened DATE: when it was opened",
    "freezing": "freezing -15 degC: freezing point by its data sheet",
    "lasts": "lasts 24 months: how long it may stay in a loop",
    "product": "product NAME: the name on the label",
}
"""What can be changed."""
LONGEST = 80

_BASIS = {
    "mass": Basis.MASS,
    "weight": Basis.MASS,
    "wt": Basis.MASS,
    "w/w": Basis.MASS,
    "volume": Basis.VOLUME,
    "vol": Basis.VOLUME,
    "v/v": Basis.VOLUME,
}


def read_share(text: str) -> tuple[float, Basis]:
    """Return a share of glycol and its basis.

    Raises
    ------
    InputError
        If the basis or the per cent sign is missing; the message asks for it.

    Examples
    --------
    >>> read_share("30 % by mass")
    (0.3, <Basis.MASS: 'mass'>)
    """
    words = text.replace("%", " % ").split()
    basis = next((_BASIS[word.casefold()] for word in words if word.casefold() in _BASIS), None)
    number = " ".join(word for word in words if word.casefold() not in {*_BASIS, "by", "pure"})
    if not number and "pure" in text.casefold():
        return 1.0, Basis.MASS
    if "%" not in number:
        raise InputError(f"{clip(text)} has no % sign; type the share as on the label, such as 30 % by mass")
    share = parse(number, Quantity.RATIO).si
    if not 0 < share <= 1:
        raise InputError(f"{clip(text)} is no share of glycol; type above 0 to 100 %, such as 30 % by mass")
    if share == 1:
        return 1.0, Basis.MASS
    if basis is None:
        raise InputError(f"{number} by mass or by volume? They differ: type {number} by mass, or {number} by volume")
    return share, basis


def read_density(text: str) -> tuple[float, float]:
    """Return a density [kg/m3] and the temperature it holds at [K]; 20 °C where none is typed."""
    value, _, at = text.partition(" at ")
    at_k = parse(at, Quantity.TEMPERATURE).si if at.strip() else 293.15
    return parse(value, Quantity.DENSITY).si, at_k


def share_text(bottle: Bottle) -> str:
    """Return the share with its basis, empty where the label states none."""
    if bottle.fraction is None:
        return ""
    if bottle.fraction == 1:
        return "pure"
    return f"{show(bottle.fraction, Quantity.RATIO)} by {bottle.basis}"


def label(bottle: Bottle) -> str:
    """Return what a bottle holds, in a few words.

    >>> from commission.stages.fill.model.coolant import Base
    >>> label(Bottle(bottle_id="", name="a", base=Base.WATER, size_m3=1e-3))
    'water'
    """
    return f"{bottle.base} {share_text(bottle)}".strip()


def told(bottle: Bottle, *, size: bool = True) -> str:
    """Return the whole label in one line, without the size where that stands beside it."""
    parts = [label(bottle), volume(bottle.size_m3) if size and bottle.size_m3 > 0 else ""]
    if bottle.density_kg_m3 is not None:
        at = show(bottle.density_k, Quantity.TEMPERATURE)
        parts.append(f"{show(bottle.density_kg_m3, Quantity.DENSITY)} at {at}")
    if bottle.freezing_k is not None:
        parts.append(f"freezes at {show(bottle.freezing_k, Quantity.TEMPERATURE)}")
    if bottle.lasts_s is not None:
        parts.append(f"lasts {every_text(bottle.lasts_s)}")
    named = (("product", bottle.product), ("lot", bottle.lot), ("opened", bottle.opened_on))
    parts += [f"{what} {value}" for what, value in named if value]
    return " · ".join(part for part in parts if part)


def changed(draft: Bottle, text: str) -> Bottle:
    """Return the bottle with one thing changed.

    Raises
    ------
    InputError
        If the word or the value cannot be understood.
    """
    word, rest = change_of(text, WORDS)
    match word:
        case "name" | "product" | "lot":
            return _named(draft, word, _short(rest))
        case "opened":
            return replace(draft, opened_on=date_of(rest))
        case "size":
            return replace(draft, size_m3=parse(rest, Quantity.VOLUME).si)
        case "freezing":
            return replace(draft, freezing_k=parse(rest, Quantity.TEMPERATURE).si)
        case "lasts":
            return replace(draft, lasts_s=read_life(rest)[0])
        case "density":
            density, at_k = read_density(rest)
            return replace(draft, density_kg_m3=density, density_k=at_k)
        case _:
            return _shared(draft, rest)


def _shared(draft: Bottle, text: str) -> Bottle:
    if draft.base not in GLYCOLS:
        raise InputError(f"{draft.base} has no share of glycol; leave it out")
    share, basis = read_share(text)
    return replace(draft, fraction=share, basis=basis)


def _named(draft: Bottle, word: str, text: str) -> Bottle:
    if word == "name":
        return replace(draft, name=text)
    return replace(draft, product=text) if word == "product" else replace(draft, lot=text)


def _short(text: str) -> str:
    refuse_longer(text, LONGEST)
    return text

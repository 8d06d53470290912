"""What the faces of stages name without importing it."""

from collections.abc import Iterator

from commission.bench.face import ByName, Face


def by_name(face: Face) -> Iterator[tuple[str, ByName]]:
    """Yield what a face names beside its commands, each with the type of the field where it stands."""
    for part in (face, *face.shop, *face.starters.values()):
        for field, kind in type(part).__annotations__.items():
            named = getattr(part, field)
            if isinstance(named, ByName):
                yield kind, named

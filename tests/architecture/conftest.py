"""What the checks of the house share."""

from collections.abc import Iterator

import pytest

from tests.architecture.parsed import nodes, parsed


@pytest.fixture(scope="package", autouse=True)
def _no_tree_is_kept_for_other_tests() -> Iterator[None]:
    """The trees of all files take some 80 MB."""
    yield
    nodes.cache_clear()
    parsed.cache_clear()

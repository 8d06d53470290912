"""How many keys the quick ways take, typed into the program one by one."""

from tests.benchmarks.keystrokes import LIMITS, ways


async def test_the_quick_ways_take_no_more_keys_than_their_aims_and_each_stores_a_reading() -> None:
    found = await ways()
    assert [way.name for way in found] == list(LIMITS)
    assert [way.name for way in found if way.keys > LIMITS[way.name]] == []
    assert [way.readings for way in found] == [1, 2, 2]

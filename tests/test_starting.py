"""What a process makes while it starts is left alone by the collector; what comes after it is not."""

import gc

import pytest

from service.starting import made_to_last


@pytest.fixture(autouse=True)
def _as_before():
    yield
    gc.unfreeze()


class Circle:
    def __init__(self):
        self.itself = self


def circles():
    return sum(isinstance(each, Circle) for each in gc.get_objects())


def test_nothing_is_looked_for_while_it_starts_and_all_is_as_before_afterwards():
    with made_to_last():
        assert not gc.isenabled()
    assert gc.isenabled()


def test_what_is_there_is_left_alone_and_what_comes_after_is_not():
    with made_to_last():
        lasting = [Circle() for _ in range(10)]
    assert len(lasting) <= gc.get_freeze_count()
    Circle()
    assert 1 == circles()
    gc.collect()
    assert 0 == circles()


def test_a_start_that_fails_leaves_the_collector_at_work():
    with pytest.raises(ValueError, match="no database"), made_to_last():
        raise ValueError("no database")
    assert gc.isenabled()

"""Epochs of a feed: what two of them share, and whose event is whose."""

import pytest

from service.storage.feeds import FIRST, Cursor, Feed

# A hundred events, a backup; twenty more, another backup; thirty since.
FEED = Feed(150, ((FIRST, 0), ("b", 100), ("c", 120)))


@pytest.mark.parametrize(
    ("cursor", "shared"),
    [
        ("c-150", 150),
        ("c-130", 130),
        ("b-110", 110),
        ("b-120", 120),
        ("b-140", 120),
        ("first-90", 90),
        ("first-100", 100),
        # It has read of the first epoch what is lost, and nothing of the second.
        ("first-145", 100),
        # An epoch of a database that is lost: from where it went another way nobody knows.
        ("x-140", 0),
        ("0", 0),
    ],
)
def test_whoever_read_so_far_has_read_so_much_of_this_feed(cursor, shared):
    assert shared == FEED.shared_with(Cursor.read(cursor))


@pytest.mark.parametrize(("number", "epoch"), [(1, FIRST), (100, FIRST), (101, "b"), (120, "b"), (121, "c")])
def test_an_event_is_of_the_epoch_in_which_it_happened(number, epoch):
    assert epoch == FEED.epoch_of(number)


def test_of_two_epochs_that_began_at_once_the_later_one_goes_on():
    feed = Feed(100, ((FIRST, 0), ("b", 100), ("c", 100)))
    assert ("c", "c") == (feed.epoch, feed.epoch_of(101))
    assert 100 == feed.shared_with(Cursor.read("b-100"))


@pytest.mark.parametrize("text", ["0", "first-0", "first-7", "3f09ab-9007199254740992"])
def test_a_cursor_is_read_as_it_was_given_out(text):
    assert text == Cursor.read(text).text

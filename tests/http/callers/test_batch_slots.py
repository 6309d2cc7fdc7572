"""Batches have a share of the workers, whichever process answers them and however it ends."""

import subprocess
import sys

import pytest

from service.http.callers.batch_slots import BatchSlots, slots_of
from service.tailoring.refusals import Refusal

HOLDS = """
import sys
from pathlib import Path
from service.http.callers.batch_slots import BatchSlots
slot = BatchSlots(Path(sys.argv[1]), 1).take()
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture(params=["shared", "of one process"])
def slots(request, tmp_path):
    return BatchSlots(tmp_path / "folder" if request.param == "shared" else None, 2)


def test_batches_have_half_of_the_workers_and_one_at_least():
    assert [1, 1, 1, 2, 4] == [slots_of(workers) for workers in (1, 2, 3, 4, 9)]


def test_so_many_are_held_at_once_and_no_more(slots):
    first, second = slots.take(), slots.take()
    with pytest.raises(Refusal, match="batches_busy"):
        slots.take()
    second.release()
    third = slots.take()
    with pytest.raises(Refusal, match="batches_busy"):
        slots.take()
    first.release()
    third.release()


def test_a_slot_that_is_released_twice_is_one_slot(slots):
    first, second = slots.take(), slots.take()
    first.release()
    first.release()
    slots.take()
    with pytest.raises(Refusal, match="batches_busy"):
        slots.take()
    second.release()


def test_a_slot_is_held_until_the_last_part_has_left_or_the_answer_broke_off(slots):
    ended, broken = slots.take(), slots.take()
    assert [1, 2] == list(ended.held_through([1, 2]))
    parts = broken.held_through([1, 2])
    assert 1 == next(parts)
    parts.close()
    assert 2 == len([slots.take(), slots.take()])


def test_a_process_that_is_killed_gives_its_slot_back(tmp_path):
    slots = BatchSlots(tmp_path, 1)
    words = [sys.executable, "-c", HOLDS, str(tmp_path)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert "held\n" == other.stdout.readline()
        with pytest.raises(Refusal, match="batches_busy"):
            slots.take()
        other.kill()
    slots.take().release()


def test_where_no_file_can_be_made_batches_are_answered(tmp_path, caplog):
    (tmp_path / "file").touch()
    slots = BatchSlots(tmp_path / "file", 1)
    slots.take()
    slots.take()
    assert "batches are not counted" in caplog.text

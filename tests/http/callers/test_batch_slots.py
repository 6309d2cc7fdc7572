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
slot = BatchSlots(Path(sys.argv[1]), 1).take("till")
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture(params=["shared", "of one process"])
def slots(request, tmp_path):
    return BatchSlots(tmp_path / "folder" if request.param == "shared" else None, 2)


def test_batches_have_half_of_the_workers_and_one_at_least():
    assert [1, 1, 1, 2, 4] == [slots_of(workers) for workers in (1, 2, 3, 4, 9)]


def test_so_many_are_held_at_once_and_no_more(slots):
    first, second = slots.take("till"), slots.take("other")
    with pytest.raises(Refusal, match="batches_busy"):
        slots.take("till")
    second.release()
    third = slots.take("other")
    with pytest.raises(Refusal, match="batches_busy"):
        slots.take("till")
    first.release()
    third.release()


def test_no_key_has_the_last_slot_where_there_are_several(tmp_path):
    for folder in (tmp_path / "shared", None):
        slots = BatchSlots(folder, 3)
        held = [slots.take("till") for _ in range(2)]
        with pytest.raises(Refusal) as refused:
            slots.take("till")
        assert {"most": 2} == refused.value.facts
        other = slots.take("other")
        with pytest.raises(Refusal, match="batches_busy"):
            slots.take("third")
        held.pop().release()
        # Whose a slot was that is free is of no account.
        held.append(slots.take("till"))
        other.release()
        with pytest.raises(Refusal, match="batches_busy"):
            slots.take("till")


def test_where_there_is_one_slot_whoever_comes_has_it(slots):
    one = BatchSlots(slots.folder, 1)
    for whose in ("till", "other"):
        held = one.take(whose)
        with pytest.raises(Refusal, match="batches_busy"):
            one.take(whose)
        held.release()


def test_a_slot_that_is_released_twice_is_one_slot(slots):
    first, second = slots.take("till"), slots.take("other")
    first.release()
    first.release()
    slots.take("till")
    with pytest.raises(Refusal, match="batches_busy"):
        slots.take("till")
    second.release()


def test_a_slot_is_held_until_the_last_part_has_left_or_the_answer_broke_off(slots):
    ended, broken = slots.take("till"), slots.take("other")
    assert [1, 2] == list(ended.held_through([1, 2]))
    parts = broken.held_through([1, 2])
    assert 1 == next(parts)
    parts.close()
    assert 2 == len([slots.take("till"), slots.take("other")])


def test_a_process_that_is_killed_gives_its_slot_back(tmp_path):
    slots = BatchSlots(tmp_path, 1)
    words = [sys.executable, "-c", HOLDS, str(tmp_path)]
    with subprocess.Popen(words, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as other:
        assert "held\n" == other.stdout.readline()
        with pytest.raises(Refusal, match="batches_busy"):
            slots.take("till")
        other.kill()
    slots.take("till").release()


def test_where_no_file_can_be_made_batches_are_answered(tmp_path, caplog):
    (tmp_path / "file").touch()
    slots = BatchSlots(tmp_path / "file", 1)
    slots.take("till")
    slots.take("till")
    assert "batches are not counted" in caplog.text

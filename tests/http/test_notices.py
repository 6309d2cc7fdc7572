"""A notice has one form, whether a schema dumps it or a plan writes it by hand."""

from service.http.notices import NoticeSchema, notices
from service.tailoring.notices import Notice


def test_a_notice_is_dumped_as_a_plan_writes_it():
    notice = Notice("reading_doubtful", ("readings", 2, "value"), "measure again", (("z", 4.2), ("unit", "in")))
    assert notices((notice,)) == NoticeSchema(many=True).dump([notice])

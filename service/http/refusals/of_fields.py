"""What a field refuses, in plain words: the library that reads fields says it as programmers do."""

from __future__ import annotations

import re

# Its sentences, and what is said in their place; the last ones of a kind are the more general.
_PLAIN = tuple(
    (re.compile(theirs), ours)
    for theirs, ours in (
        (r"Missing data for required field\.", "It is required."),
        (r"Field may not be null\.", "It may not be null."),
        (r"Not a valid string\.", "It is not text."),
        (r"Not a valid integer\.", "It is not a whole number."),
        (r"Not a valid number\.", "It is not a number."),
        (r"Not a valid boolean\.", "It is neither true nor false."),
        (r"Not a valid list\.", "It is not a list."),
        (r"Not a valid date\.", "It is not a date, such as 2026-03-02."),
        (r"Not a valid datetime\.", "It is not a time with its offset, such as 2026-03-02T10:00:00+00:00."),
        (r"Not a valid time\.", "It is not a time of the day, such as 17:30."),
        (r"Not a valid UUID\.", "It is not an id as the service gives them."),
        (r"Must be one of: (?P<of>.+)\.", r"It is one of: \g<of>."),
        (
            r"Must be greater than or equal to (?P<from>\S+) and less than or equal to (?P<to>\S+)\.",
            r"It is from \g<from> to \g<to>.",
        ),
        (r"Must be greater than or equal to (?P<from>\S+)\.", r"It is at least \g<from>."),
        (r"Must be less than or equal to (?P<to>\S+)\.", r"It is at most \g<to>."),
        (r"Shorter than minimum length (?P<from>\d+)\.", r"It is too short: at least \g<from>."),
        (r"Longer than maximum length (?P<to>\d+)\.", r"It is too long: at most \g<to>."),
        (r"Length must be between (?P<from>\d+) and (?P<to>\d+)\.", r"It is from \g<from> to \g<to> long."),
    )
)


def plain(message: str) -> str:
    """The library's sentence as ours; what is ours stays as it is."""
    for theirs, ours in _PLAIN:
        if found := theirs.fullmatch(message):
            return found.expand(ours)
    return message

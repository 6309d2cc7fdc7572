"""Every refusal's status, title and sentence. A code that is not here cannot be refused with (a test shows it).

Statuses: 422 what was asked is wrong by a rule of the trade or shop; 409 it is right, but the state of the order or of
the calendar forbids it; 404 there is no such thing for this caller; 412 it has changed since; 401 and 403 who asks.
"""

from __future__ import annotations

from collections.abc import Mapping

from service.http.request_refusals import OF_REQUESTS, Words
from service.tailoring.refusals import Fact, Refusal

WORDS: dict[str, Words] = {
    **OF_REQUESTS,
    # readings
    "dimension_unknown": Words(422, "There is no such dimension", "Dimensions are {allowed}."),
    "source_unknown": Words(422, "There is no such source", "Sources are {allowed}."),
    "label_not_sized": Words(422, "Not a dimension of labels", "A size label does not give {dimension}."),
    "reading_out_of_bounds": Words(
        422, "Measurement out of range", "{dimension} is from {least} to {most}. Check the tape and the unit."
    ),
    "taken_in_future": Words(422, "The day is in the future", "Today is {today}."),
    "set_unknown": Words(422, "There is no such measurement set", "No measurement set of this shop has that id."),
    "population_version_unknown": Words(
        422, "No such version", "Of the shop's own customers there is no version {given}."
    ),
    # charts
    "chart_unknown": Words(422, "There is no such chart", "This shop has no chart '{given}'."),
    "chart_not_asked": Words(
        422, "The chart is not asked for", "'{given}' is not among the charts asked for: {asked}."
    ),
    "chart_reserved": Words(422, "The code is taken", "'{given}' is the service's own block."),
    "charts_too_many": Words(
        409, "There are too many charts", "A shop has {most} at most. Load it as the next revision of another."
    ),
    "chart_invalid": Words(422, "The chart is not right", "{words}"),
    "label_unknown": Words(422, "There is no such size", "{chart} has no {garment} '{given}'."),
    "note_unknown": Words(422, "There is no such note", "Notes of posture are {allowed}."),
    "note_repeated": Words(422, "Noted twice", "Say {note} once: one arm or leg is the longer; a stoop is not erect."),
    "note_beyond_cloth": Words(422, "Beyond what cloth can do", "{note} is from nothing to {most}."),
    # the shop's own tables
    "place_unknown": Words(422, "There is no such place", "Places of the {garment} are {allowed}."),
    "ease_implausible": Words(422, "Ease out of range", "{garment}, {place}: {words}."),
    "ease_repeated": Words(422, "The place is there already", "{garment}, {place} is given once."),
    "price_repeated": Words(422, "Two prices for one alteration", "{alteration} has one price."),
    "point_has_no_band": Words(422, "Nothing is measured there", "{point} is judged by eye and has no band."),
    "band_wrong": Words(422, "The band is not right", "{point}: {words}."),
    "look_verdict_missing": Words(
        422, "The verdict is missing", "'{seen}' is the shop's own: its verdict is {allowed}."
    ),
    "look_verdict_fixed": Words(422, "The verdict is fixed", "'{seen}' is {verdict}; give another look its own name."),
    "look_needs_remedy": Words(
        422, "What is wrong has a remedy, what is right has none", "'{seen}' is {verdict}: check its remedies."
    ),
    "look_repeated": Words(422, "The look is there already", "'{seen}' is given once a point."),
    "own_point_empty": Words(422, "Nothing is given for it", "{point}: give a band, appearances or both."),
    "fit_point_repeated": Words(422, "The point is there already", "{point} is given once."),
    # fit points
    "worn_charts_differ": Words(422, "Two charts are worn", "Check garments of one chart together, others apart."),
    "fit_point_unknown": Words(422, "There is no such fit point", "Fit points are {allowed}."),
    "point_not_worn": Words(422, "The garment is not worn", "{point} is checked on the {garment}, which is not worn."),
    "seen_unknown": Words(422, "There is no such appearance", "Here one sees {allowed}."),
    "amount_not_read_here": Words(422, "Nothing is measured here", "{point} is judged by eye: {allowed}."),
    "amount_implausible": Words(422, "Amount out of range", "{point} is up to {most}. Check the unit."),
    "sighting_repeated": Words(422, "Seen twice", "{point} is named once a side, and measured once."),
    "nothing_to_judge": Words(
        422, "There is nothing to judge it by", "Say what is seen at a fit point, or tape {wanted}."
    ),
    # alterations
    "alteration_unknown": Words(422, "There is no such alteration", "'{alteration}' is not in the catalogue."),
    "amount_missing": Words(422, "The amount is missing", "Say how much {alteration} is, and its basis: {basis}."),
    "amount_not_taken": Words(422, "It has no amount", "{alteration} is done or not done; leave the amount out."),
    "amount_zero": Words(422, "The amount is nothing", "Leave the line out, or say how much."),
    "basis_missing": Words(
        422, "The basis is missing", "Say {allowed}: without it an inch can be two. {alteration} is counted by {basis}."
    ),
    "direction_missing": Words(422, "Which way?", "{alteration} goes both ways: say {allowed}."),
    "basis_wrong": Words(422, "The basis is another", "{alteration} is counted by {basis}, not by {given}."),
    "direction_impossible": Words(
        422, "It does not go that way", "{alteration} goes {allowed}; it is limited by {limited_by}."
    ),
    "side_missing": Words(422, "The side is missing", "Say {allowed} for {of}: there is no default."),
    "side_not_taken": Words(422, "It has no side", "{of} has no sides; leave the side out."),
    "alteration_beyond_limit": Words(
        422,
        "Beyond what the alteration can do",
        "{alteration} goes to {most_in} in ({most_mm} mm), limited by {limited_by}. Instead: {instead}.",
    ),
    "inlay_too_small": Words(
        422,
        "Not enough inlay to let out",
        "Of the inlay seen, {alteration} can let out {most_in} in ({most_mm} mm): the seam keeps 3/8 in.",
    ),
    "lines_refused": Words(422, "Several lines cannot be done", "See the {count} faults in errors."),
    "cuff_holes_worked": Words(422, "The cuff holes are worked", "{alteration} would move them. Instead: {instead}."),
    "target_wrong": Words(
        422, "Change and finished measure do not agree", "From {now} the change ends at {finished}, not at {target}."
    ),
    # hems
    "pins_missing": Words(
        422, "No leg is pinned", "Pin each leg on the customer in their shoes, or give their inside leg."
    ),
    "hem_not_marked": Words(
        422,
        "The hem is not marked",
        "Pin each leg on the customer in their shoes, say the finished length, or take the order with to_be_pinned.",
    ),
    "pinned_already": Words(422, "It is pinned already", "Piece {piece} has pins: leave to_be_pinned out."),
    "hem_to_be_pinned": Words(
        409, "A hem is still to be pinned", "Mark the legs of pieces {pieces} first: amend the order with their pins."
    ),
    "inside_leg_unknown": Words(
        422,
        "Inside leg not known",
        "Pin each leg on the customer in their shoes, tape the inside leg, or give height, weight and age.",
    ),
    "leg_said_twice": Words(422, "Which leg?", "Say leg, sold_as, or chart with label; one of them."),
    "leg_unknown": Words(422, "The leg is not known", "Say the inside leg of piece {piece} as it is now."),
    "hem_cloth_short": Words(
        422,
        "Not enough cloth in the leg",
        "{side}: {short_mm} mm short; {longest_in} in ({longest_mm} mm) is the longest. Instead: {instead}.",
    ),
    "hem_quantity_outside": Words(
        422, "Hem measurement out of range", "{quantity} is from {least_mm} to {most_mm} mm, not {given}."
    ),
    "break_unknown": Words(422, "There is no such break", "Breaks are {allowed}."),
    "finish_unknown": Words(422, "There is no such finish", "Finishes are {allowed}."),
    "turn_up_not_taken": Words(422, "A plain hem has no turn-up", "Leave the turn-up out, or finish with one."),
    "own_heel_not_lent": Words(422, "Only lent shoes have another heel", "Say shoes: lent, or leave it out."),
    "slant_with_turn_up": Words(422, "A turn-up is cut straight", "Leave the slant out."),
    # finishing
    "fibre_unknown": Words(422, "There is no such fibre", "Fibres are {allowed}."),
    "fibre_repeated": Words(422, "The fibre is there already", "Say {fibre} once, with its whole share."),
    "shares_wrong": Words(422, "The shares do not add up", "Together they are {sum} %; a cloth has 100."),
    # orders
    "order_empty": Words(422, "Nothing is to be done", "Give lines, hems or a fit check that alters something."),
    "garment_unknown": Words(422, "There is no such garment", "Garments are {allowed}."),
    "pattern_unknown": Words(422, "There is no such pattern", "Patterns are {allowed}."),
    "lining_unknown": Words(422, "There is no such lining", "Linings are {allowed}."),
    "count_too_small": Words(422, "The count is too small", "At least {least}."),
    "piece_repeated": Words(422, "Two pieces have one number", "Piece {piece} is there already."),
    "piece_unknown": Words(422, "There is no such piece", "Piece {piece} is not among {pieces}."),
    "piece_missing": Words(422, "Which piece?", "There are {count} {garment} pieces: say the number of one."),
    "garment_mismatch": Words(
        422, "Another garment", "{alteration} is done on a {needs}; piece {piece} is a {garment}."
    ),
    "line_repeated": Words(422, "The line is there already", "{alteration} is on piece {piece} already."),
    "lines_contradict": Words(
        422, "Two lines work against each other", "{alteration} against {other} on piece {piece}: {reason}."
    ),
    "fit_check_unknown": Words(422, "There is no such fit check", "No fit check of this shop has that id."),
    "not_the_plans_size": Words(
        422, "Another size than the fit check's", "The plan is for {garment} {planned}, the order says {given}."
    ),
    "swap_not_tried_on": Words(
        422, "It was not tried on", "Nothing is altered of {planned} before its own fit check: try it on, and check it."
    ),
    "not_to_look_at": Words(
        422, "The fit check does not estimate it", "It estimates {known}; '{given}' is none of it."
    ),
    "plan_unknown": Words(422, "There is no such plan", "The fit check's plans are 0 to {most}."),
    "give_up_unreminded": Words(409, "Remind the customer first", "It is given up {days} days after that."),
    "give_up_too_soon": Words(409, "Too soon to give up", "It is {days} days after the reminder, not before {first}."),
    "not_waiting": Words(409, "It does not wait", "In '{state}' an order does not wait for its customer."),
    "group_full": Words(409, "The group is full", "A group has {most} orders at most."),
    "group_over": Words(409, "The group is over", "All of its orders are collected or cancelled: place another."),
    "group_day_kept": Words(409, "The others' day is kept", "It is {promised}, and this takes until {earliest}."),
    "group_left_too_late": Words(
        409, "Too late to leave the group", "The order is {state}: a member leaves before the work on it begins."
    ),
    "group_empty": Words(422, "The group is too small", "A group has two orders or more."),
    "line_unknown": Words(422, "There is no such line", "Lines are numbered from 1 to {most}; {given} is none."),
    "nothing_to_note": Words(409, "It is at no bench", "In '{state}' the bench notes nothing; it does in {still}."),
    "note_empty": Words(422, "Nothing is noted", "Say what was cut, found or sewn of line {given}."),
    "leg_cut_unsaid": Words(
        422,
        "The cut is not as it should be",
        "{alteration}: a leg is cut at `cut_at`, other cloth has `cloth_left`.",
    ),
    "cloth_cut_short": Words(422, "The leg is cut too short", "It ends at {target}: cut at {given}? Check the tape."),
    "inlay_not_taken": Words(422, "No inlay is let out there", "{alteration} takes no inlay."),
    "inlay_known_too_small": Words(
        422,
        "Other pieces of the chart had less",
        "{most} came out of them for {alteration}. Look inside this one, and say inlay_seen where there is more.",
    ),
    "nothing_to_check": Words(
        409, "Nothing sewn is to be checked", "In '{state}' nothing is measured; it is in {still}."
    ),
    "sewn_by_checker": Words(409, "Whoever sewed does not check", "{by} sewed line {given}: let another measure it."),
    "tailors_too_many": Words(409, "There are too many tailors", "A shop keeps {most} at most."),
    "tailor_unknown": Words(422, "There is no such tailor", "This shop keeps no tailor of that reference."),
    "tailor_at_work": Words(409, "The tailor has work in hand", "Pause or end it first."),
    "tailor_at_other_bench": Words(
        422, "Not at their bench", "It is done at the {bench} bench; the tailor works at {benches}."
    ),
    "work_is_done": Words(409, "The work is done", "In '{state}' nothing is left to be sewn or pressed."),
    "ticket_unknown": Words(422, "There is no such ticket", "This shop has no order {given}."),
    "piece_unsaid": Words(422, "Which piece?", "Say the piece or a line; pieces are {pieces}."),
    "no_work_there": Words(409, "Not at the bench", "It is '{state}': work on it begins when it is {still}."),
    "nothing_begun": Words(409, "Nothing is begun", "The tailor has not begun that, or has ended it already."),
    "work_in_future": Words(422, "The time is in the future", "It is {now}."),
    "work_overlaps": Words(422, "Two things at once", "The tailor was at other work until {until}."),
    "ends_before_begun": Words(422, "It ends before it began", "The work was begun at {since}."),
    "left_open_overnight": Words(
        409,
        "Left open over midnight",
        "Work on {ticket} was begun at {since} and never put down. Pause or end it with `at`, when it was.",
    ),
    "measure_missing": Words(
        422, "The measure is missing", "{alteration}: say what it measures, or whether it is right."
    ),
    "measure_not_taken": Words(
        422, "Nothing is measured there", "{alteration} has no finished measure: say whether it is right."
    ),
    "price_settled": Words(409, "The price is settled", "In '{state}' the till has charged it: no price is changed."),
    "price_reason_wrong": Words(422, "The price is not as it should be", "'{kind}' takes {needs}."),
    "tax_rate_wrong": Words(422, "The tax rate is not right", "A rate is from 0 to {most} percent."),
    "line_named_twice": Words(422, "The line is named twice", "Say once what becomes of line {given}."),
    "lines_fixed": Words(
        409,
        "Lines stay as they are now",
        "In '{state}' no line is changed: ask with a query first, or redo it. Lines are open while {still}.",
    ),
    "cut_already": Words(
        409, "The cloth is cut already", "{by} has cut {alteration}: {least} of it cannot be undone. More can be had."
    ),
    "target_unreachable": Words(
        422,
        "No such change gives that measure",
        "It measures {now} now, and {alteration} does not bring it to {target}.",
    ),
    "amendment_too_late": Words(409, "Its work has begun", "In '{state}' an order is not amended, only while {still}."),
    "nothing_to_promise": Words(409, "Nothing is still to be done", "In '{state}' nothing of its work is ahead."),
    "fitting_day_wrong": Words(422, "The fitting cannot be on that day", "It is from {first} to {last}."),
    "week_wrong": Words(422, "The week is not right", "Check {part}."),
    "day_wrong": Words(422, "The day is not right", "{bench}: {skilled} skilled of {minutes} minutes cannot be."),
    "day_out_of_reach": Words(422, "The day cannot be set", "Days are set from {first} to {last}."),
    "country_unknown": Words(422, "There are no such public holidays", "'{given}' is not known (ISO 3166)."),
    "no_free_day": Words(409, "No day is free", "No minutes are free at {benches} until {until}."),
    "needed_by_too_early": Words(
        409,
        "It cannot be ready by then",
        "{needed_by} is too soon: the earliest day is {earliest}, of a rush {earliest_rush}.",
    ),
    "move_not_allowed": Words(
        409, "The order cannot go there", "Piece {piece} is '{state}' and goes to {legal}, not to '{asked}'."
    ),
    "pins_not_counted": Words(
        409,
        "The pins do not add up",
        "{expected} are in, {counted} were counted out. Search for the rest; who gives up a pin signs (pins_lost).",
    ),
    "pins_lost_too_soon": Words(
        409,
        "Pins are not given up here",
        "They are at a count: at pressing and at hand-over, not from '{state}' to '{asked}'.",
    ),
    "pins_lost_unsigned": Words(
        422,
        "Who signs for the lost pins?",
        "Say who searched, and sweep the piece with a magnet before a pin is given up.",
    ),
    "tried_on_missing": Words(422, "Was it tried on?", "Say whether the customer tried it on at collection."),
    "reason_missing": Words(422, "The reason is missing", "Say why it goes from '{state}' to '{asked}'."),
    "question_missing": Words(422, "What is the question?", "Say what the workroom asks the fitter."),
    "answer_missing": Words(422, "What is the answer?", "Say what the fitter answers."),
    "fitting_on_missing": Words(422, "When is the fitting?", "Say the day on which the customer comes to try it on."),
    "where_missing": Words(422, "Where?", "Name the place: where it is stored, was looked for, or was found."),
    "searched_by_missing": Words(422, "Who looked for it?", "Say who searched before a piece is lost."),
    "decided_by_missing": Words(422, "Who decided?", "Say who decided that it goes to '{asked}'."),
    "pins_of_one_piece": Words(
        422, "In which piece are the pins?", "Pieces {pieces} move together: move the one with the pins by itself."
    ),
    "line_elsewhere": Words(422, "The line is of another piece", "Line {given} is of piece {piece}, which stays."),
    "cloth_cut_missing": Words(422, "Was cloth cut?", "Say whether cloth was cut before it is cancelled."),
    "version_stale": Words(412, "It has changed since", "Read it again: its version is now {current}."),
    "version_missing": Words(428, "The version is missing", "Send If-Match with the ETag that you read."),
    # outcomes
    "outcome_part_missing": Words(422, "The outcome says too little", "{result}: say {part} as well."),
    "outcome_part_not_taken": Words(422, "The outcome says too much", "{result} has no {part}; leave it out."),
    "outcome_same_size": Words(422, "That is the same size", "Swapped to {label} from {label}: it was kept."),
    "reason_unknown": Words(422, "There is no such reason", "Reasons are {allowed}."),
    "altered_elsewhere": Words(422, "Another garment", "{alteration} is done on a {garment}."),
    "order_unknown": Words(422, "There is no such order", "No order of this shop has that id."),
    # designations
    "designation_system_unknown": Words(422, "There is no such size system", "Size systems are {allowed}."),
    "designation_unreadable": Words(422, "The label cannot be read", "In {system} write {grammar}, like {example}."),
    "designation_outside": Words(
        422, "The size system has no such label", "{system} has no {part} '{given}', only {allowed}."
    ),
    "designation_not_of_garment": Words(
        422, "Not a label of that garment", "{system} is not found on {garment}; {allowed} are."
    ),
    "label_of_no_system": Words(
        422, "The label cannot be read", "No size system reads '{given}'. Name a chart, or write it as in {allowed}."
    ),
}


def said(refusal: Refusal) -> str:
    """A refusal's sentence, with its facts."""
    return sentence(refusal.code, refusal.facts)


def sentence(code: str, facts: Mapping[str, Fact]) -> str:
    """The sentence of a code, filled with facts; one that was not said leaves a dash."""
    told = {
        name: ", ".join(map(str, value)) if isinstance(value, list | tuple) else str(value)
        for name, value in facts.items()
    }
    return WORDS[code].detail.format_map(_Told(told))


class _Told(dict[str, str]):
    def __missing__(self, key: str) -> str:
        return "-"

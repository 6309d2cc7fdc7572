"""Refusals of orders, of the workroom's calendar, and of what became of garments."""

from __future__ import annotations

from service.http.refusals.form import Words

OF_ORDERS: dict[str, Words] = {
    # orders
    "order_empty": Words(422, "There is nothing to do", "Give lines, hems or a fit check that alters something."),
    "garment_unknown": Words(422, "There is no such garment", "Garments are {allowed}."),
    "pattern_unknown": Words(422, "There is no such pattern", "Patterns are {allowed}."),
    "lining_unknown": Words(422, "There is no such lining", "Linings are {allowed}."),
    "count_too_small": Words(422, "The count is too small", "At least {least}."),
    "piece_repeated": Words(
        422, "Two pieces have one number", "Give each piece a number of its own; {piece} is taken."
    ),
    "piece_unknown": Words(422, "There is no such piece", "Piece {piece} is not among {pieces}."),
    "piece_missing": Words(422, "The piece is missing", "There are {count} {garment} pieces: give the number of one."),
    "garment_mismatch": Words(
        422, "The alteration is for another garment", "{alteration} is for the {needs}; piece {piece} is the {garment}."
    ),
    "line_repeated": Words(422, "The line is given twice", "{alteration} is on piece {piece} already."),
    "lines_contradict": Words(
        422, "Two lines work against each other", "{alteration} against {other} on piece {piece}: {reason}."
    ),
    "fit_check_unknown": Words(422, "There is no such fit check", "No fit check of this shop has that id."),
    "not_the_plans_size": Words(
        422, "The size is not the fit check's", "The plan is for {garment} {planned}, the order says {given}."
    ),
    "swap_not_tried_on": Words(
        422,
        "The size was not tried on",
        "Try {planned} on and make a fit check of it before anything on it is altered.",
    ),
    "not_to_look_at": Words(
        422, "The fit check did not estimate that", "It estimates {known}; '{given}' is not among them."
    ),
    "plan_unknown": Words(422, "There is no such plan", "The fit check's plans are 0 to {most}."),
    "give_up_unreminded": Words(
        409, "Remind the customer first", "An order is given up {days} days after the reminder."
    ),
    "give_up_too_soon": Words(
        409, "Too soon to give up", "An order is given up {days} days after the reminder, from {first} on."
    ),
    "not_waiting": Words(
        409, "The order is not waiting for its customer", "In '{state}' nothing is waiting to be collected."
    ),
    "group_full": Words(409, "The group is full", "A group has at most {most} orders."),
    "group_over": Words(409, "The group is closed", "All of its orders are collected or cancelled: place a new group."),
    "group_day_kept": Words(
        409,
        "The group's day could not be kept",
        "The group is promised for {promised}, and this order takes until {earliest}.",
    ),
    "group_left_too_late": Words(
        409, "Too late to leave the group", "The order is '{state}': a member may leave until work on it begins."
    ),
    "group_empty": Words(422, "The group is too small", "A group has two orders or more."),
    "line_unknown": Words(
        422, "There is no such line", "Lines are numbered from 1 to {most}; there is no line {given}."
    ),
    "nothing_to_note": Words(
        409, "The order is not at a bench", "In '{state}' a bench notes nothing; it does in {still}."
    ),
    "note_empty": Words(422, "The note is empty", "Say what was cut, found or sewn on line {given}."),
    "leg_cut_unsaid": Words(
        422, "The cut is given in the wrong way", "{alteration}: of a leg give `cut_at`, of other cloth `cloth_left`."
    ),
    "cloth_cut_short": Words(422, "The leg is cut too short", "It ends at {target}: cut at {given}? Check the tape."),
    "inlay_not_taken": Words(422, "No inlay is let out there", "{alteration} uses no inlay: leave it out."),
    "inlay_known_too_small": Words(
        422,
        "Other garments of this chart had less inlay",
        "{most} came out of them for {alteration}. Look inside this one, and send inlay_seen where there is more.",
    ),
    "nothing_to_check": Words(
        409, "There is no sewn work to check", "In '{state}' nothing is measured; it is in {still}."
    ),
    "sewn_by_checker": Words(409, "The checker sewed it", "{by} sewed line {given}: somebody else measures it."),
    "tailors_too_many": Words(409, "Too many tailors", "A shop may keep {most}."),
    "tailor_unknown": Words(422, "There is no such tailor", "This shop has no tailor with that reference."),
    "tailor_at_work": Words(409, "The tailor has work in hand", "Pause or end it first."),
    "tailor_at_other_bench": Words(
        422, "The work is at another bench", "It is done at the {bench} bench; the tailor works at {benches}."
    ),
    "work_is_done": Words(409, "The work is done", "In '{state}' there is nothing left to sew or press."),
    "ticket_unknown": Words(422, "There is no such ticket", "This shop has no order {given}."),
    "piece_unsaid": Words(422, "The piece is missing", "Give the piece or a line; the pieces are {pieces}."),
    "no_work_there": Words(
        409, "The piece is not at the bench", "It is '{state}': work on it begins when it is {still}."
    ),
    "nothing_begun": Words(409, "The work was not begun", "The tailor has not begun it, or has ended it already."),
    "work_in_future": Words(422, "The time is in the future", "It is {now} now."),
    "work_overlaps": Words(422, "The times overlap", "The tailor was at other work until {until}."),
    "ends_before_begun": Words(422, "The work ends before it began", "It was begun at {since}."),
    "left_open_overnight": Words(
        409,
        "Work was left open over midnight",
        "Work on {ticket} was begun at {since} and never ended. Pause or end it, with the time when that was in `at`.",
    ),
    "measure_missing": Words(
        422, "The measure is missing", "{alteration}: say what it measures, or whether it is right."
    ),
    "measure_not_taken": Words(
        422, "Nothing is measured there", "{alteration} has no finished measure: say whether it is right."
    ),
    "price_settled": Words(
        409, "The price is settled", "In '{state}' the till has charged it: no price can be changed."
    ),
    "price_reason_wrong": Words(422, "The price and its kind do not agree", "'{kind}' takes {needs}."),
    "tax_rate_wrong": Words(422, "The tax rate is not right", "A rate is from 0 to {most} percent."),
    "line_named_twice": Words(422, "The line is named twice", "Say once what happens to line {given}."),
    "lines_fixed": Words(
        409,
        "The lines can no longer be changed",
        "In '{state}' no line is changed: raise a query first, or redo it. Lines are open in {still}.",
    ),
    "cut_already": Words(
        409,
        "The cloth is cut already",
        "{by} has cut {alteration}: at least {least} of it stays. A larger amount is possible.",
    ),
    "target_unreachable": Words(
        422,
        "No such change gives that measure",
        "It measures {now} now, and {alteration} does not bring it to {target}.",
    ),
    "amendment_too_late": Words(
        409, "Work on the order has begun", "In '{state}' an order cannot be amended, only in {still}."
    ),
    "nothing_to_promise": Words(
        409, "There is no work left to promise", "In '{state}' all the work is done or given up."
    ),
    "fitting_day_wrong": Words(422, "The fitting cannot be on that day", "Choose a day from {first} to {last}."),
    "week_wrong": Words(422, "The week is not right", "Check {part}."),
    "day_wrong": Words(
        422, "The day is not right", "{bench}: {skilled} skilled minutes of {minutes} are not possible."
    ),
    "day_out_of_reach": Words(422, "The day cannot be set", "Days are set from {first} to {last}."),
    "country_unknown": Words(
        422,
        "The public holidays are not known",
        "'{given}' is not known: write a country or subdivision of ISO 3166, such as GB and SCT.",
    ),
    "no_free_day": Words(409, "No day is free", "No minutes are free at {benches} until {until}."),
    "needed_by_too_early": Words(
        409,
        "It cannot be ready by then",
        "{needed_by} is too soon: the earliest day is {earliest}; as a rush, {earliest_rush}.",
    ),
    "move_not_allowed": Words(
        409, "The order cannot make that move", "Piece {piece} is '{state}' and can go to {legal}, not to '{asked}'."
    ),
    "pins_not_counted": Words(
        409,
        "The pins do not add up",
        "{expected} went in and {counted} were counted out. Search for the rest; whoever gives up a pin"
        " signs for it (pins_lost).",
    ),
    "pins_lost_too_soon": Words(
        409,
        "Pins cannot be given up here",
        "They are given up at a count: at pressing and at hand-over, not from '{state}' to '{asked}'.",
    ),
    "pins_lost_unsigned": Words(
        422,
        "The lost pins are not signed for",
        "Say who searched (searched_by), and sweep the piece with a magnet (swept_with_magnet) before a pin"
        " is given up.",
    ),
    "tried_on_missing": Words(
        422, "It is not recorded whether it was tried on", "Say whether the customer tried it on at collection."
    ),
    "reason_missing": Words(422, "The reason is missing", "Say why it goes from '{state}' to '{asked}'."),
    "question_missing": Words(422, "The question is missing", "Say what the workroom asks the fitter."),
    "answer_missing": Words(422, "The answer is missing", "Say what the fitter answers."),
    "fitting_on_missing": Words(
        422, "The day of the fitting is missing", "Say the day on which the customer comes to try it on."
    ),
    "where_missing": Words(422, "The place is missing", "Say where it is stored, was looked for, or was found."),
    "searched_by_missing": Words(
        422, "The search is not signed for", "Say who searched before a piece is recorded as lost."
    ),
    "decided_by_missing": Words(422, "The decision is not signed for", "Say who decided that it goes to '{asked}'."),
    "pins_of_one_piece": Words(
        422, "Pins are counted piece by piece", "Pieces {pieces} move together: move the one with the pins by itself."
    ),
    "line_elsewhere": Words(
        422, "The line is on another piece", "Line {given} is on piece {piece}, which does not move."
    ),
    "cloth_cut_missing": Words(
        422, "It is not recorded whether cloth was cut", "Say whether cloth was cut before it is cancelled."
    ),
    "version_stale": Words(412, "It has changed since", "Read it again: its version is now {current}."),
    "version_missing": Words(428, "The version is missing", "Send If-Match with the ETag that you read."),
    # outcomes
    "outcome_part_missing": Words(422, "The outcome is incomplete", "{result}: say {part} as well."),
    "outcome_part_not_taken": Words(422, "The outcome has too much in it", "{result} has no {part}; leave it out."),
    "outcome_same_size": Words(
        422, "The sizes are the same", "It was swapped from {label} to {label}: record it as kept."
    ),
    "reason_unknown": Words(422, "There is no such reason", "Reasons are {allowed}."),
    "altered_elsewhere": Words(422, "The alteration is for another garment", "{alteration} is for the {garment}."),
    "order_unknown": Words(422, "There is no such order", "No order of this shop has that id."),
}

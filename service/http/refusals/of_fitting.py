"""Refusals of what is seen and pinned on the customer, and of what can be done about it."""

from __future__ import annotations

from service.http.refusals.form import Words

OF_FITTING: dict[str, Words] = {
    # fit points
    "worn_charts_differ": Words(
        422,
        "The garments worn are from two charts",
        "Check the garments of one chart together, and the others in a fit check of their own.",
    ),
    "fit_point_unknown": Words(422, "There is no such fit point", "Fit points are {allowed}."),
    "point_not_worn": Words(422, "The garment is not worn", "{point} is checked on the {garment}, which is not worn."),
    "seen_unknown": Words(422, "There is no such appearance", "Appearances at this point are {allowed}."),
    "amount_not_read_here": Words(422, "Nothing is measured at that point", "{point} is judged by eye: say {allowed}."),
    "amount_implausible": Words(422, "Amount out of range", "{point} is at most {most}. Check the unit."),
    "sighting_repeated": Words(
        422, "The fit point is given twice", "Name what is seen at {point} once for each side, and measure it once."
    ),
    "nothing_to_judge": Words(
        422, "There is nothing to judge the fit by", "Say what is seen at a fit point, or tape {wanted}."
    ),
    # alterations
    "alteration_unknown": Words(422, "There is no such alteration", "'{alteration}' is not in the catalogue."),
    "amount_missing": Words(422, "The amount is missing", "Say how much {alteration} is, and its basis: {basis}."),
    "amount_not_taken": Words(
        422, "The alteration has no amount", "{alteration} is done or not done; leave the amount out."
    ),
    "amount_zero": Words(422, "The amount is zero", "Leave the line out, or say how much."),
    "basis_missing": Words(
        422,
        "The basis is missing",
        "Say {allowed}: an inch on each side is two of girth. {alteration} is counted by {basis}.",
    ),
    "direction_missing": Words(422, "The direction is missing", "{alteration} goes both ways: say {allowed}."),
    "basis_wrong": Words(422, "The basis is wrong", "{alteration} is counted by {basis}, not by {given}."),
    "direction_impossible": Words(
        422, "The alteration does not go that way", "{alteration} goes {allowed}; it is limited by {limited_by}."
    ),
    "side_missing": Words(422, "The side is missing", "Say {allowed} for {of}: there is no default."),
    "side_not_taken": Words(422, "The side does not apply", "{of} has no sides; leave the side out."),
    "alteration_beyond_limit": Words(
        422,
        "Beyond what the alteration can do",
        "{alteration} goes up to {most_in} in ({most_mm} mm), limited by {limited_by}. Instead: {instead}.",
    ),
    "inlay_too_small": Words(
        422,
        "Not enough inlay to let out",
        "{alteration} can let out {most_in} in ({most_mm} mm) of the inlay seen: 3/8 in stays in the seam.",
    ),
    "lines_refused": Words(422, "Several lines cannot be done", "See the {count} faults in errors."),
    "cuff_holes_worked": Words(
        422, "The cuff has worked buttonholes", "{alteration} would move them. Instead: {instead}."
    ),
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
    "pinned_already": Words(422, "The hem is pinned already", "Piece {piece} has pins: leave to_be_pinned out."),
    "hem_to_be_pinned": Words(
        409, "A hem is still to be pinned", "Mark the legs of pieces {pieces} first: amend the order with their pins."
    ),
    "inside_leg_unknown": Words(
        422,
        "Inside leg not known",
        "Pin each leg on the customer in their shoes, tape the inside leg, or give height, weight and age.",
    ),
    "leg_said_twice": Words(
        422, "The leg is not given in one way", "Give leg, sold_as, or chart and label together; one of the three."
    ),
    "leg_unknown": Words(422, "The leg is not known", "Say the inside leg of piece {piece} as it is now."),
    "hem_cloth_short": Words(
        422,
        "Not enough cloth in the leg",
        "{side}: {short_in} in ({short_mm} mm) short; {longest_in} in ({longest_mm} mm) is the longest. "
        "Instead: {instead}.",
    ),
    "hem_quantity_outside": Words(
        422,
        "Hem measurement out of range",
        "{quantity} is from {least_in} to {most_in} in ({least_mm} to {most_mm} mm), not {given}.",
    ),
    "break_unknown": Words(422, "There is no such break", "Breaks are {allowed}."),
    "finish_unknown": Words(422, "There is no such finish", "Finishes are {allowed}."),
    "turn_up_not_taken": Words(422, "A plain hem has no turn-up", "Leave turn_up out, or say finish: turn_up."),
    "own_heel_not_lent": Words(
        422, "Another heel is only asked for with lent shoes", "Say shoes: lent, or leave own_heel out."
    ),
    "slant_with_turn_up": Words(422, "A turn-up is cut straight", "Leave the slant out, or the turn-up."),
    # finishing
    "fibre_unknown": Words(422, "There is no such fibre", "Fibres are {allowed}."),
    "fibre_repeated": Words(422, "The fibre is given twice", "Give {fibre} once, with its whole share."),
    "shares_wrong": Words(422, "The shares do not add up", "Together they come to {sum} %; a cloth has 100."),
}

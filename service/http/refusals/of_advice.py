"""Refusals of measures, labels, charts, the shop's own tables, and advice that was taken."""

from __future__ import annotations

from service.http.refusals.form import Words

OF_ADVICE: dict[str, Words] = {
    # quantities
    "unit_unknown": Words(422, "The unit is not used here", "Units here are {allowed}."),
    "quantity_unreadable": Words(422, "The quantity cannot be read", "Write {hint}."),
    "quantity_negative": Words(422, "The quantity is negative", "A quantity is zero or more."),
    "quantity_too_large": Words(422, "The quantity is too large", "The most is {most} {unit}."),
    # readings
    "dimension_unknown": Words(422, "There is no such dimension", "Dimensions are {allowed}."),
    "source_unknown": Words(422, "There is no such source", "Sources are {allowed}."),
    "label_not_sized": Words(
        422,
        "A size label does not give that measure",
        "Tape {dimension} and send it as measured; a label says nothing of it.",
    ),
    "reading_out_of_bounds": Words(
        422, "Measurement out of range", "{dimension} is from {least} to {most}. Check the tape and the unit."
    ),
    "taken_in_future": Words(422, "The day is in the future", "Today is {today}."),
    "set_unknown": Words(422, "There is no such measurement set", "No measurement set of this shop has that id."),
    "population_version_unknown": Words(
        422, "There is no such version", "Of the shop's own customers there is no version {given}."
    ),
    # designations
    "designation_system_unknown": Words(422, "There is no such size system", "Size systems are {allowed}."),
    "designation_unreadable": Words(422, "The label cannot be read", "In {system} write {grammar}, such as {example}."),
    "designation_outside": Words(
        422, "The size system has no such label", "{system} has no {part} '{given}', only {allowed}."
    ),
    "designation_not_of_garment": Words(
        422, "The garment has no such labels", "{system} labels are not used on {garment}; {allowed} are."
    ),
    "label_of_no_system": Words(
        422,
        "The label cannot be read",
        "'{given}' is no label of a size system. Name a chart, or write it as in {allowed}.",
    ),
    # charts
    "chart_unknown": Words(422, "There is no such chart", "This shop has no chart '{given}'."),
    "chart_not_asked": Words(
        422, "The chart was not asked for", "'{given}' is not among the charts asked for: {asked}."
    ),
    "chart_reserved": Words(422, "The code is taken", "'{given}' is the code of the service's own reference block."),
    "charts_too_many": Words(
        409, "Too many charts", "A shop may keep {most}. Load this one as a new revision of one of them."
    ),
    "chart_invalid": Words(422, "The chart is not right", "{words}"),
    "label_unknown": Words(422, "There is no such size", "{chart} has no {garment} '{given}'; it has {allowed}."),
    "note_unknown": Words(422, "There is no such note", "Notes of posture are {allowed}."),
    "note_repeated": Words(
        422,
        "The posture note is given twice",
        "Give {note} once: one arm or leg is the longer, and a customer stoops or stands erect.",
    ),
    "note_beyond_cloth": Words(422, "More than tailoring can correct", "{note} is above zero and at most {most}."),
    # the shop's own tables
    "place_unknown": Words(422, "There is no such place", "Places of the {garment} are {allowed}."),
    "ease_implausible": Words(422, "Ease out of range", "{garment}, {place}: {words}."),
    "ease_repeated": Words(422, "The place is given twice", "Give {garment}, {place} once."),
    "price_repeated": Words(422, "Two prices for one alteration", "Give {alteration} one price."),
    "point_has_no_band": Words(422, "Nothing is measured at that point", "{point} is judged by eye and has no band."),
    "band_wrong": Words(422, "The band is not right", "{point}: {words}."),
    "look_verdict_missing": Words(
        422, "The verdict is missing", "'{seen}' is a look of the shop's own: its verdict is {allowed}."
    ),
    "look_verdict_fixed": Words(
        422, "The verdict is fixed", "'{seen}' is always {verdict}; give a look of your own another name."
    ),
    "look_needs_remedy": Words(
        422,
        "The remedies do not go with the verdict",
        "'{seen}' is {verdict}: what is wrong needs a remedy, what is right has none.",
    ),
    "look_repeated": Words(422, "The look is given twice", "Give '{seen}' once for each point."),
    "own_point_empty": Words(422, "The fit point is empty", "{point}: give a band, appearances or both."),
    "fit_point_repeated": Words(422, "The fit point is given twice", "Give {point} once."),
    # advice that was taken
    "advice_unreadable": Words(
        422,
        "The advice is not this shop's",
        "The advice_id was not signed for this shop. Send it whole, as it was given.",
    ),
    "advice_expired": Words(409, "The advice is too old", "It was valid until {until}. Ask for advice again."),
    "advice_chart_changed": Words(
        409,
        "The chart has changed",
        "The advice used revision {advised} of '{chart}'; now it is {now}. Ask for advice again.",
    ),
    "advice_price_changed": Words(
        409,
        "A price has changed",
        "{alteration} was {advised_minor} {currency} in minor units; now it is {now_minor} {now_currency}. Ask again.",
    ),
}

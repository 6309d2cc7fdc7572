"""Refusals of who asks, of what cannot be read, of where events go, of advice ids: nothing of them is of the trade."""

from __future__ import annotations

from typing import NamedTuple


class Words(NamedTuple):
    """How a refusal is said: `detail` is filled from its facts."""

    status: int
    title: str
    detail: str


OF_REQUESTS: dict[str, Words] = {
    # who asks
    "key_missing": Words(401, "No key was shown", "Send the header 'Authorization: Bearer <key>'."),
    "key_unknown": Words(401, "The key is not known", "The key is wrong, unknown or revoked."),
    "key_expired": Words(
        401, "The key has expired", "It served until {expired_at}. Ask the operator for the next one."
    ),
    "origin_not_allowed": Words(
        403, "The page may not use this key", "The key is a web key, and not for pages of the origin '{given}'."
    ),
    "page_may_not": Words(
        403, "A web key may not do this", "A web key asks for advice only, and sees nothing recorded."
    ),
    "origin_wrong": Words(
        422, "The origin is not right", "'{given}': write it as https://shop.example, in small letters."
    ),
    "web_key_scope": Words(
        422, "A web key may only advise", "Everybody can read a web key: give it the scope advise alone."
    ),
    "too_often": Words(429, "Too many requests", "{most} a minute are allowed. Come again in {seconds} seconds."),
    "scope_missing": Words(403, "The key may not do this", "This needs the scope '{scope}'."),
    "scope_unknown": Words(422, "There is no such scope", "Scopes are {allowed}."),
    "shop_unknown": Words(404, "There is no such shop", "No shop has the id '{given}'."),
    "time_zone_unknown": Words(422, "There is no such time zone", "'{given}' is no IANA time zone."),
    "not_found": Words(404, "Not found", "There is no such thing, or it is not this shop's."),
    # requests
    "retry_key_missing": Words(
        400,
        "The Idempotency-Key is missing",
        "Send the header 'Idempotency-Key' with a text of your own that is new for each thing to be created: a retry"
        " with the same key creates nothing twice.",
    ),
    "key_used_otherwise": Words(
        422, "The Idempotency-Key was used for another request", "Use a new key for a new request."
    ),
    "field_wrong": Words(422, "The request is not right", "{words}"),
    "header_wrong": Words(400, "A header is missing or not right", "{words}"),
    "json_unreadable": Words(400, "The body is not JSON", "{words}"),
    "not_json": Words(415, "The body is not JSON", "Send JSON with 'Content-Type: application/json'."),
    "body_encoded": Words(415, "The body is encoded", "Send it as it is, without 'Content-Encoding: {given}'."),
    "transfer_coded": Words(
        501, "The transfer coding is not known", "Send it whole or in chunks, not with 'Transfer-Encoding: {given}'."
    ),
    "too_many_values": Words(
        413, "The body holds too many values", "Lists and objects hold at most {most} values together."
    ),
    "too_slow": Words(408, "The request took too long", "Nothing was changed. Send it whole, and at once."),
    "address_too_long": Words(414, "The address is too long", "The longest address is 2048 bytes."),
    "headers_too_large": Words(431, "The headers are too large", "At most 50 headers, each of 8190 bytes."),
    "batch_too_dear": Words(
        422,
        "The batch is too large",
        "It comes to {points} points; {most} are the most. Ask for {fits} people at once.",
    ),
    "batches_busy": Words(
        503, "Another batch is being answered", "At most {most} of a key are at a time. Come again in some seconds."
    ),
    "batch_out_of_time": Words(
        503, "The batch took too long", "{answered} of {people} were answered within {within} seconds. Ask for fewer."
    ),
    "service_ending": Words(
        503, "The service is being started again", "{answered} were answered. Ask again for the rest."
    ),
    "too_large": Words(413, "The body is too large", "The most is {most} bytes."),
    "method_wrong": Words(405, "The method is not for this address", "See the header Allow."),
    "not_acceptable": Words(406, "Not served in that form", "Served are {served}."),
    "request_wrong": Words(400, "The request cannot be read", "{words}"),
    "database_away": Words(503, "The database does not answer", "Nothing was changed. Try again in a moment."),
    "fault": Words(500, "Internal error", "Nothing was changed. The service has logged what happened."),
    # events
    "webhook_url_wrong": Words(422, "Nothing can be sent there", "The address of a webhook is {right}."),
    "webhooks_too_many": Words(409, "There are too many webhooks", "A shop has {most} at most. Close one first."),
    "cursor_ahead": Words(
        409,
        "There is no such event yet",
        "The newest event has the cursor {last}: go on from there. If you were given yours, the service was restored"
        " from a backup: look for the orders that you hold, and place those that are missing with the Idempotency-Key"
        " of before.",
    ),
    "cursor_of_before": Words(
        409,
        "The feed is another one since the service was restored",
        "What came after the backup is gone. Look for the orders that you hold, place those that are missing with the"
        " Idempotency-Key of before, then go on from the cursor {go_on}.",
    ),
    # quantities
    "unit_unknown": Words(422, "The unit is not known here", "Units here are {allowed}."),
    "quantity_unreadable": Words(422, "The quantity cannot be read", "Write {hint}."),
    "quantity_negative": Words(422, "The quantity is negative", "A quantity is zero or more."),
    "quantity_too_large": Words(422, "The quantity is too large", "The most is {most} {unit}."),
    # advice that was taken
    "advice_unreadable": Words(422, "No advice of this shop", "It is not what this shop signed. Send it whole."),
    "advice_expired": Words(409, "The advice is too old", "It was good until {until}. Ask for advice again."),
    "advice_chart_changed": Words(
        409, "The chart has changed", "'{chart}' was advised in revision {advised}; now it is {now}. Ask again."
    ),
    "advice_price_changed": Words(
        409,
        "A price has changed",
        "{alteration} was {advised_minor} {currency} in minor units; now it is {now_minor} {now_currency}. Ask again.",
    ),
}

"""Refusals of who asks, of what cannot be read, of where events go: nothing of them is of the trade."""

from __future__ import annotations

from service.http.refusals.form import Words

OF_REQUESTS: dict[str, Words] = {
    # who asks
    "key_missing": Words(401, "The key is missing", "Send the header 'Authorization: Bearer <key>'."),
    "key_unknown": Words(401, "The key is not known", "The key is wrong, unknown or revoked."),
    "key_expired": Words(
        401, "The key has expired", "It was valid until {expired_at}. Ask the operator for a new one."
    ),
    "origin_not_allowed": Words(
        403, "The page may not use this key", "The key is a web key, and not for pages of the origin '{given}'."
    ),
    "page_may_not": Words(
        403, "A web key may not do this", "A web key asks for advice only, and cannot read anything recorded."
    ),
    "origin_wrong": Words(
        422, "The origin is not right", "'{given}': write it as https://shop.example, in small letters."
    ),
    "web_key_scope": Words(
        422, "A web key may only advise", "Anybody can read a web key: give it the scope advise alone."
    ),
    "too_often": Words(429, "Too many requests", "{most} a minute are allowed. Try again in {seconds} seconds."),
    "scope_missing": Words(403, "The key may not do this", "This needs the scope {scope}."),
    "scope_unknown": Words(422, "There is no such scope", "Scopes are {allowed}."),
    "shop_unknown": Words(404, "There is no such shop", "No shop has the id '{given}'."),
    "time_zone_unknown": Words(422, "There is no such time zone", "'{given}' is not an IANA time zone."),
    "not_found": Words(404, "Not found", "It does not exist, or it is not this shop's."),
    # requests
    "retry_key_missing": Words(
        400,
        "The Idempotency-Key is missing",
        "Send the header 'Idempotency-Key' with a text of your own that is new for each thing to be created:"
        " a retry with the same key creates nothing twice.",
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
        501,
        "The transfer coding is not supported",
        "Send it whole or in chunks, not with 'Transfer-Encoding: {given}'.",
    ),
    "too_many_values": Words(
        413, "The body holds too many values", "Its lists and objects may hold {most} values together."
    ),
    "too_slow": Words(408, "The request took too long", "Nothing was changed. Send it whole, and at once."),
    "address_too_long": Words(414, "The address is too long", "The longest address is 2048 bytes."),
    "headers_too_large": Words(431, "The headers are too large", "At most 50 headers, each of 8190 bytes."),
    "batch_too_dear": Words(
        422,
        "The batch is too large",
        "It comes to {points} points; the most is {most}. Ask for {fits} people at a time.",
    ),
    "batches_busy": Words(
        503, "Another batch is being answered", "A key may have {most} at a time. Try again in a few seconds."
    ),
    "batch_out_of_time": Words(
        503, "The batch took too long", "{answered} of {people} were answered within {within} seconds. Ask for fewer."
    ),
    "service_ending": Words(503, "The service is restarting", "{answered} were answered. Ask again for the rest."),
    "too_large": Words(413, "The body is too large", "It may have {most} bytes at most."),
    "method_wrong": Words(405, "The method is not allowed here", "The header Allow lists those that are."),
    "not_acceptable": Words(406, "The format is not available", "Available are {served}."),
    "request_wrong": Words(400, "The request cannot be read", "{words}"),
    "database_away": Words(503, "The database does not answer", "Nothing was changed. Try again in a moment."),
    "fault": Words(500, "Internal error", "Nothing was changed. The service has logged what happened."),
    # events
    "webhook_url_wrong": Words(422, "Events cannot be sent there", "The address of a webhook is {right}."),
    "webhooks_too_many": Words(409, "Too many webhooks", "A shop may have {most}. Close one first."),
    "cursor_ahead": Words(
        409,
        "There is no such event yet",
        "The newest event has the cursor {last}: go on from there. If you were given yours, the service was restored"
        " from a backup: look for the orders that you hold, and place those that are missing with the Idempotency-Key"
        " that they had.",
    ),
    "cursor_of_before": Words(
        409,
        "The feed is another one since the service was restored",
        "What came after the backup is gone. Look for the orders that you hold, place those that are missing with the"
        " Idempotency-Key that they had, then go on from the cursor {go_on}.",
    ),
}

"""A day of the workroom's calendar as callers set it."""


def version(client):
    return client.get("/v1/workroom/week").headers["ETag"]


def set_day(client, on, **asked):
    return client.ask("PUT", f"/v1/workroom/days/{on}", asked, headers={"If-Match": version(client)})


def set_week(client, **changes):
    """Keep the shop's week with these parts of it changed."""
    answer = client.get("/v1/workroom/week")
    asked = answer.body | changes
    return client.ask("PUT", "/v1/workroom/week", asked, headers={"If-Match": answer.headers["ETag"]})

"""A workroom's board: BASE_URL=... KEY=... python3 workroom_board.py [NUMBER STATE], with a key for `workroom`."""

import json
import os
import sys
import time
from urllib.error import HTTPError
from urllib.request import Request, urlopen

BASE_URL, KEY, ROUNDS = os.environ["BASE_URL"], os.environ["KEY"], int(os.environ.get("ROUNDS", "1000000"))


# 1. One way to ask. What is busy or cut off is asked again; a refusal says what to mend.
def ask(method, path, body=None, **headers):
    sent = {name.replace("_", "-"): value for name, value in headers.items()}
    sent |= {"Authorization": f"Bearer {KEY}", "Content-Type": "application/json"}
    data = None if body is None else json.dumps(body).encode()
    for wait in (1, 5, 25, 0):
        try:
            with urlopen(Request(BASE_URL + path, data, sent, method=method), timeout=30) as answer:
                return json.load(answer), answer.headers.get("ETag")
        except OSError as wrong:
            refused = isinstance(wrong, HTTPError)
            if (refused and wrong.code not in (408, 429, 502, 503, 504)) or not wait:
                raise SystemExit(f"{path}: {wrong.read().decode() if refused else wrong}") from wrong
            time.sleep(int(wrong.headers.get("Retry-After", wait)) if refused else wait)


# 2. What has happened? Read the feed to its end, and keep the cursor.
def read_on(after):
    while (page := ask("GET", f"/v1/events?after={after}")[0])["events"]:
        after = page["after"]
    return after


# 3. How many orders are where, and each bench's work, the most urgent first.
def draw():
    counts, _ = ask("GET", "/v1/orders/counts")
    print(f"late {counts['late']}, due {counts['due']}:", *[f"{n['orders']} {n['state']}" for n in counts["states"]])
    for bench in ask("GET", "/v1/workroom/worklist?limit=20")[0]["benches"]:
        print(f"{bench['bench']}: {bench['minutes']} minutes")
        for job in bench["jobs"]:
            print(f"  {job['number']} {job['urgency']}:", "; ".join(line["words"] for line in job["lines"]) or "press")


# 4. Move an order along, of the version that was read: nothing that others did meanwhile is overwritten.
if len(sys.argv) > 1:
    path = f"/v1/orders/{ask('GET', f'/v1/orders?number={sys.argv[1]}')[0]['orders'][0]['id']}"
    moved, _ = ask("POST", f"{path}/moves", {"to": sys.argv[2], "by": "tailor-1"}, If_Match=ask("GET", path)[1])
    print("Order", moved["number"], "is", moved["state"])

# 5. Every few seconds, for as long as the board hangs: draw it again where something has happened.
drawn, cursor = None, "0"
for _ in range(ROUNDS):
    cursor = read_on(cursor)
    if cursor != drawn:
        draw()
    drawn = cursor
    time.sleep(5 if ROUNDS > 1 else 0)

"""A till that sells an alteration: BASE_URL=... KEY=... python3 till.py SALE, with a key for `order`."""

import json
import os
import sys
import time
from pathlib import Path
from urllib.error import HTTPError
from urllib.request import Request, urlopen

BASE_URL, KEY, SALE = os.environ["BASE_URL"], os.environ["KEY"], sys.argv[1]


# 1. One way to ask. What is busy or cut off is asked again; a refusal says what to mend.
def ask(method, path, body=None, **headers):
    sent = {name.replace("_", "-"): value for name, value in headers.items()}
    sent |= {"Authorization": f"Bearer {KEY}", "Content-Type": "application/json"}
    data = None if body is None else json.dumps(body).encode()
    for wait in (1, 5, 25, 0):
        try:
            with urlopen(Request(BASE_URL + path, data, sent, method=method), timeout=30) as answer:
                text = answer.read().decode()
                return json.loads(text) if "json" in answer.headers["Content-Type"] else text
        except OSError as wrong:
            refused = isinstance(wrong, HTTPError)
            if (refused and wrong.code not in (408, 429, 502, 503, 504)) or not wait:
                raise SystemExit(f"{path}: {wrong.read().decode() if refused else wrong}") from wrong
            time.sleep(int(wrong.headers.get("Retry-After", wait)) if refused else wait)


def said(money):
    return f"{money['minor'] / 100:.2f} {money['currency']}"


# 2. What would it cost, and when could it be ready? Nothing is booked yet.
leg = {"value": "30 1/4", "unit": "in"}
trousers = {"garment": "trousers", "chart": "reference", "label": "30", "pins_left_in": 2}
sheet = {"garments": [trousers], "hems": [{"pins": {"left": leg, "right": leg}}]}
quote = ask("POST", "/v1/alteration-quotes", sheet)
print("Quote:", said(quote["total"]), "earliest", quote["earliest"])

# 3. Place the order. The key is of this sale: sent twice, it is the same order.
order = ask("POST", "/v1/orders", {**sheet, "by": "counter-1", "sale_ref": SALE}, Idempotency_Key=f"till-{SALE}")
print("Order", order["number"], "promised for", order["promised_for"])

# 4. Lines for the basket, and the paper that the customer takes home.
for line in ask("GET", f"/v1/orders/{order['id']}/charges")["charges"]:
    print(line["words"], said(line["amount"]), line["tax_category"])
print(ask("GET", f"/v1/orders/{order['id']}/customer-slip", Accept="text/plain"))

# 5. What has happened since? Keep the cursor, and go on from there next time.
kept = Path(os.environ.get("CURSOR_FILE", "cursor"))
news = ask("GET", f"/v1/events?after={kept.read_text('ascii') if kept.exists() else 0}")
for event in news["events"]:
    print(event["type"], "order", event["data"]["number"], event["data"]["state"])
kept.write_text(news["after"], "ascii")

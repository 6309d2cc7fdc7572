"""A web shop that advises a size and fills its basket: BASE_URL=... KEY=... python3 web_shop.py CHART."""

import json
import os
import sys
import time
from urllib.error import HTTPError
from urllib.request import Request, urlopen

BASE_URL, KEY, CHART = os.environ["BASE_URL"], os.environ["KEY"], sys.argv[1]


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


# 2. Height and weight, as customers say them, are enough to begin with.
said = [("stature", 178, "cm"), ("body_mass", 76, "kg")]
readings = [{"dimension": name, "value": n, "unit": unit, "source": "self_reported"} for name, n, unit in said]
asked = {"readings": readings, "charts": [CHART], "limit": 1}
first = ask("POST", "/v1/size-advice?view=short", asked)
best = first["plans"][0]
print(f"{best['jacket']['label']}? Within one size of the best by {best['confidence']['within_one_size']:.0%}")

# 3. Ask for the measure that would tell most, and advise again: whole this time, for the quote.
taped = {"chest_girth": 96, "waist_girth": 83, "trouser_waist_girth": 84, "arm_length": 64}
if first["measure_next"] in taped:
    name, source = first["measure_next"], "self_measured"
    readings.append({"dimension": name, "value": taped[name], "unit": "cm", "source": source})
plan = ask("POST", "/v1/size-advice", asked)["plans"][0]
sizes = {garment: plan[garment] for garment in ("jacket", "trousers")}

# 4. Price and earliest day of the work; the hem is pinned when the customer has tried it on.
work = [each for each in plan["alterations"] if each["alteration"] != "trouser_hem"]
lines = [{part: each[part] for part in ("alteration", "basis", "direction", "side") if each[part]} for each in work]
for line, each in zip(lines, work, strict=True):
    line["amount"] = {part: each["amount"][part] for part in ("value", "unit")}
garments = [{"garment": each, "chart": size["chart"], "label": size["label"]} for each, size in sizes.items()]
quote = ask("POST", "/v1/alteration-quotes", {"garments": garments, "lines": lines, "to_be_pinned": True})
tax = {True: "with tax", False: "plus tax", None: ""}[quote["prices_include_tax"]]
print(f"Work: {quote['total']['minor'] / 100:.2f} {quote['total']['currency']} {tax} by {quote['earliest']}")

# 5. Into the basket, by the shop's own article number.
for garment, size in sizes.items():
    print("Basket:", garment, size["label"], size["sku"] or size["gtin"])

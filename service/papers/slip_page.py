"""The customer's slip as a web page of its own, to be seen on a telephone and printed."""

from __future__ import annotations

from collections.abc import Iterator
from html import escape

from service.papers.slips import Slip


def slip_page(slip: Slip) -> str:
    """The slip as a web page of its own, to be looked at on a telephone and printed; nothing is fetched for it."""
    advice = "".join(f"<p>{escape(each)}</p>" for each in slip.advice)
    day = f'<time datetime="{slip.promised_for}">{escape(slip.day)}</time>' if slip.promised_for else escape(slip.day)
    say = slip.tongue.say
    return _PAGE.format(
        language=slip.language,
        order=escape(say("Order {number}", number=slip.number)),
        **{f"is_{name}": escape(say(words)) for name, words in _NAMED.items()},
        shop=escape(slip.shop),
        stands=escape(slip.state_words),
        day=day + (f", {escape(slip.hour)}" if slip.hour else ""),
        pieces=escape(", ".join(slip.garments)),
        more="".join(f"<dt>{escape(say(name))}</dt><dd>{escape(said)}</dd>\n" for name, said in _more(slip)),
        advice=advice,
    )


def _more(slip: Slip) -> Iterator[tuple[str, str]]:
    for each in slip.fittings:
        yield "Fitting", each
    if slip.balance:
        yield "To pay", slip.balance
    if slip.ask_at:
        yield "Ask at", slip.ask_at


_NAMED = {"now": "Now", "ready": "Ready by", "pieces": "Pieces"}
_PAGE = """<!doctype html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="robots" content="noindex">
<title>{order}: {stands}</title>
<style>
body {{ font: 1.1rem/1.5 system-ui, sans-serif; max-width: 30rem; margin: 2rem auto; padding: 0 1rem; color: #111; background: #fff }}
h1 {{ font-size: 1.6rem; margin: 0 }}
dl {{ margin: 1.5rem 0 }}
dt {{ font-size: .85rem; color: #444 }}
dd {{ margin: 0 0 .8rem; font-size: 1.3rem; font-weight: bold }}
@media print {{ body {{ margin: 0 }} }}
</style>
</head>
<body>
<main>
<p>{shop}</p>
<h1>{order}</h1>
<dl>
<dt>{is_now}</dt><dd>{stands}</dd>
<dt>{is_ready}</dt><dd>{day}</dd>
<dt>{is_pieces}</dt><dd>{pieces}</dd>
{more}</dl>
{advice}
</main>
</body>
</html>
"""  # noqa: E501  one rule a line

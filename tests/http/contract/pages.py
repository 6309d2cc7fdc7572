"""The page of the contract, opened in a browser."""

from contextlib import contextmanager


@contextmanager
def opened(browser, address):
    """The page with the contract drawn on it; what it asked for, and what it complained of, beside it."""
    page, asked, complaints = browser.new_page(), [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    try:
        page.goto(f"{address}/docs")
        page.wait_for_selector(".opblock")
        yield page, asked, complaints
    finally:
        page.close()

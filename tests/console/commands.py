"""Commands of the console, and what they say."""

OPEN_SHOP = ["add-shop", "Corner Tailors", "--time-zone", "Europe/Dublin", "--currency", "EUR", "--plain-hem", "1200"]


def told(result):
    """What went wrong, when that is one line and no traceback."""
    assert 1 == result.exit_code, result.output
    assert "Traceback" not in result.output
    (line,) = result.output.strip().splitlines()
    return line

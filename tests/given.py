"""What the tests are told in FITTING_TEST_ variables. Read here at once: while they run, the environment has none."""

import os

PREFIX = "FITTING_TEST_"
GIVEN = {name.removeprefix(PREFIX): value for name, value in os.environ.items() if name.startswith(PREFIX)}

"""In which languages something may be said, by their tags (RFC 5646); British English is that of the sources."""

from __future__ import annotations

BRITISH = "en-GB"
# A language, and the catalogue of its words.
CATALOGUES = {"en-US": "en_US", "de": "de", "fr": "fr"}
TAGS = (BRITISH, *CATALOGUES)

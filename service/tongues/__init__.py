"""Languages: words by gettext's catalogues; lengths, days, numbers and money as a language writes them."""

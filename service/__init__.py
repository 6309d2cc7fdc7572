"""The fitting service: sizes, fit, alterations and promised days for a menswear shop, over HTTP."""

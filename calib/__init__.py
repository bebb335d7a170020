"""The printed card and the millimetre. Knows nothing of glass."""

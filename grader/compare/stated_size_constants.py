"""Numbers for stated sizes."""

UNITS_MM = {'mm': 1.0, 'cm': 10.0, 'in': 25.4, 'inch': 25.4, 'inches': 25.4, '"': 25.4, "''": 25.4, '″': 25.4}
"""Millimetres of each unit. Source: the international inch of 1959 is 25.4 mm exactly."""

STATED_RANGE_MM = (10.0, 280.0)
"""Sizes that are believed. Source: the heights believed, see HEIGHT_RANGE_MM; widths lie in the same range."""

"""Sealed bags: an examination packed so that each later change is found, and the check of such bags.

``DEVELOPERS.md`` describes the layout of a bag and what its seal proves.
"""

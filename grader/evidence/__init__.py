"""Sealed bags: an examination packed so that each later change is found, and the check of such bags.

``README.md`` beside this file describes the layout of a bag and what its seal proves.
"""

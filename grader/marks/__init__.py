"""Marks on the glass: what they are and how they are found."""

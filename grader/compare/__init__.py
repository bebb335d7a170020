"""Two sides, before and after: one piece or two, what changed, and what the earlier photos could have shown."""

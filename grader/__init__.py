"""Photo-based condition grader for art-glass paperweights."""

"""How repeatable the grader is on somebody's own bench: pieces photographed several times, by one or more set-ups."""

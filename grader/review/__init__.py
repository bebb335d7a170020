"""The person's last word on each mark: her acts, kept as a log, and what they make of the record."""

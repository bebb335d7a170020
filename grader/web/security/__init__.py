"""Who may ask for what: hosts, sessions, pairing of phones, forged requests, headers and limits."""

"""The page: the whole job in a browser on the owner's own computer, by the same functions as the commands."""

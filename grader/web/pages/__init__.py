"""Routes of the page, a file for each part. They hold no logic: they call what is tested without a browser."""

"""The page to look at, index.html."""

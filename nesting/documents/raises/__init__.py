"""The answer to how high the roof may go: words, CSV, plot, page."""

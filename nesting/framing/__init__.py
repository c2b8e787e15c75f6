"""Framing: pieces that follow from a job, and bars cut with a proof."""

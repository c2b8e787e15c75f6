"""The skin of a side: openings, lines where a seam may lie, candidate panels; the body at another raise."""

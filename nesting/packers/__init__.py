"""Behind the public packers for shapes: their sheets and bounds, and the search for the shortest strip."""

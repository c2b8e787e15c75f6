"""Four-sided bays from tape readings: what a tape may be off by, readings adjusted to one shape."""

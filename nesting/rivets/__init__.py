"""Rivet lines, positions, counts, grips and lengths; rules and yardsticks, each with its source."""

"""The integer programme: branch and bound over panels and patterns, their pricing, first plans, the trade-off."""

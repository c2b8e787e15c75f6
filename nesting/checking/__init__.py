"""The independent check of a plan; it imports values only, none of the code that it judges."""

"""Rectangles on given sheets: does a set fit, edge to edge or freely; sheets refilled, sheets without waste."""

"""The neutral drawing, the views, and a writer for each kind of file."""

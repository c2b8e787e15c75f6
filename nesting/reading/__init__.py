"""The job file read: keys once, in tables; text, drawings, lists of offcuts to values in mm; every mistake at once."""

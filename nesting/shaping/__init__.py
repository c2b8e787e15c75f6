"""True shapes on given sheets: where two touch, a set of them on a sheet, sheets filled without waste."""

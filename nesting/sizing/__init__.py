"""The planning problem in whole numbers: classes of equal parts, sheets, choices, conditions on a sheet."""

"""Foods: rows of composition tables, ingredient lines, matching one to the other."""

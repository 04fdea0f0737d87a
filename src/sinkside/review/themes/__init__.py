"""Rules by theme: each file holds rules of one theme, or of a few that look at the same words."""

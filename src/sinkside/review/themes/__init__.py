"""Rules by theme, one file each."""

"""All paper and reports."""

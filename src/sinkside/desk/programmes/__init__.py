"""Verification programmes: planned, tested, read; families, texts and water events beside them."""

"""Recall: what a failure reaches, what is done about it, and that it was done."""

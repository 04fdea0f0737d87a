"""Histories: what is kept of one thing, gathered from every room of the house onto one line in time."""

"""How the tables came to be, one step per file, never changed once released."""

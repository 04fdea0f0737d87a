"""The bench: what happens with sets from theatre back to theatre, one verb per function."""

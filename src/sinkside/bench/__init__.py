"""The bench as plain values: runs along a route, what may be done next, and what stands in the way."""

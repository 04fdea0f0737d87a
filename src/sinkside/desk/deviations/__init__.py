"""Deviations: noticed at the bench or entered by hand, worked on until closed, counted and charted."""

"""The application: one verb per function, one file per noun; what the command line calls."""

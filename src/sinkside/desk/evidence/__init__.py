"""Evidence: everything that is kept of one run, what is not recorded of it, and the paper that says so."""

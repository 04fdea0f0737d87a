"""Published models as pure functions on numbers and arrays, one file per subject."""

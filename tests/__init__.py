"""The tests; `tests.factories` builds the domain objects that they share."""

"""One module an output."""

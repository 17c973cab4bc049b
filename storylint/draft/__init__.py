"""Reading a draft: one model, one reader a format, and the split into person sections."""

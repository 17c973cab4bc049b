"""Copies of a draft with something mended or marked; the draft itself is never touched."""

"""Outlines, tails and the hand-drawn line: frozen paths only."""

"""Shaped words to lines in a shape: optimal breaks, the tightest oval, candidates with scores."""

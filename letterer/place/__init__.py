"""Proposes places for units that the plan does not place; the room that words need."""

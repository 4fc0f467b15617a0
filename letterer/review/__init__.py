"""Looks a lettered page over: the path of the eye, what is covered, crossed, crowded or small."""

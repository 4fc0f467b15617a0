"""Writers: each takes a LetteredPage and gives a file's bytes."""

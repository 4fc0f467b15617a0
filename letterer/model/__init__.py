"""What people write: the script, the layout and the house style, as frozen values."""

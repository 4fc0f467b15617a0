"""What was drawn before and is drawn no more: pages by what they were drawn from.

`values` turns frozen values into plain text and back, `program` says which letterer draws,
`store` keeps bytes under their keys on disk, and `pages` knows what of a page is kept.

A key is a digest of everything that the bytes depend on. So nothing is ever out of date: what
changed has another key, and what nobody asks for any more is thrown away in time.
"""

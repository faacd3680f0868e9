"""What every file of the handbook shares: one text, one checksum, walls against bent ones.

`canon` writes the one text, `shapes` says what may stand where, `opened` reads JSON behind walls,
`seen` makes a stranger's text safe to show.
"""

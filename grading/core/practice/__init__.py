"""The practice piece: the smallest piece on which the techniques of a pattern are learned before it is begun.

`techniques` says what a pattern has to teach, `counts` which numbers of stitches and rows are kept, `stages`
in which ways each technique can be worked small, `demands` on how many stitches, `search` which of them
together make the smallest piece; `sheet` writes it as a pattern file of one size, `outlines` its pieces;
`foundations`, `beginnings` and `words` its steps; `practice` puts these together, `recording` lists what to
show where it is filmed.

May import: grade, audit, instructions, shaping, pattern, formula.
"""

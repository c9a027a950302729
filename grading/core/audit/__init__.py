"""The count audit: reads written rows and works them over the stitches beneath, as an editor does.

`tokens` cuts a text into words and numbers; `words` and `stitches` are the vocabulary, each with its data,
in which `phrases` may hold choices; `reading` turns tokens into the `tree` of what is done, with a module
for each matter (chains, places, fabrics, edges, changes, definitions, asides, notes); `counts` reads
closing counts, `shapings` shaping over many rows, `statements` the sentences between rows, with those of
`finishing` and `part_reading`; `working` works a tree for one size over its `row_states` (`chain_working`,
`place_working`); `rows` puts these together for a text and for rows that follow one another, `patterns` for
every step, size and option: `sentences` are cut, `accounts` work them on the `size_states`, by
`statement_working`, place by place in `short_rows`, row by row in `row_frames`, and by what is `printed` by
reference, after the rows that are described for it (`described_rows`), with the `courses` of shapings and
curves, the `colours` and `row_fabrics` of rows and the side that each is `facing`;
`own_stitches` spells the special stitches of a pattern out; `joining` compares pieces, `count_findings`
says what does not come out.

What can't be read is said to be unread, with the words; nothing is guessed, and a closing count never helps a
reading, but for one thing that the trade leaves open: whether chains over skipped stitches are counted
(`bridges`). The language is that of the yarn council's abbreviations and ordinary pattern English.

May import: printing, yarn, instructions, sheet, pattern, formula.
"""

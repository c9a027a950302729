"""The count audit: reads written rows and works them over the stitches beneath, as a technical editor does.

`tokens` cuts a text into words and numbers, `words` and `stitches` are the vocabulary, `reading` turns tokens into the
`tree` of what is done, `counts` reads closing counts, `working` works a tree for one size, `rows` puts these together
for one text and `lists` for rows that follow one another.

What can't be read is said to be unread, with the words; nothing is guessed, and a closing count never helps a reading.
The language is that of the yarn council's abbreviations and ordinary pattern English. Imports of the core: none.
"""

"""The one face that makes sentences: facts of the study in, words for page, terminal and sheet out.

The rooms of the study return who, what, value and limit; nobody there writes a sentence, and nobody
above takes one apart. A subject is a file with a table of templates by key
(:class:`lumen.words.sentences.Sentences`), so that another language is another table.
"""

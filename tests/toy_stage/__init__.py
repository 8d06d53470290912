"""A stage of its own that stands outside the program: dust filters in front of the fans, seated and judged.

It shows that a new stage needs no changed line in ``commission/``: it is put behind the others in the list, and its
stage behind theirs in the procedure.
"""
